import type { UnitSymbol } from '../../units/unit.ts';
import type { HannTrack } from '../analysis/hann-track.ts';
import { type Chart, chartPoints } from '../evidence.ts';
import type { Averages } from '../features/level/averages.ts';
import type { Plateau } from '../features/level/plateaus.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import { valueAt } from '../signal/samples.ts';

/** The averages over time, relative to their mean. */
export function averagesChart({ times, values, mean }: Averages, title: string): Chart {
  // A blink of one average must not be thinned away.
  const outline = decimateMinMax(values, chartPoints);
  const x = outline.at.map((k) => valueAt(times, k));
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'level relative to its mean', unit: '1', shown: '%', scale: 'linear' },
    lines: [
      {
        name: 'averaged',
        role: 'measured',
        x,
        y: outline.values.map((value) => value / mean),
      },
      { name: 'mean', role: 'ideal', x: [x[0] ?? 0, x.at(-1) ?? 0], y: [1, 1] },
    ],
    marks: [],
  };
}

/** Measured over commanded level of a sweep, with the straight line through the brightest plateau. */
export function sweepChart(plateaus: readonly Plateau[], title: string): Chart {
  const lit = plateaus.filter(({ commanded, level }) => commanded > 0 && level > 0);
  const brightest = lit.reduce<Plateau | null>(
    (one, two) => (one && one.commanded >= two.commanded ? one : two),
    null,
  );
  const scale = brightest ? brightest.level / brightest.commanded : 1;
  const sorted = lit
    .toSorted((a, b) => a.commanded - b.commanded)
    .map(({ commanded }) => commanded);
  return {
    kind: 'curve',
    title,
    x: { label: 'commanded level', unit: '1', shown: '%', scale: 'log' },
    y: { label: 'measured level', unit: '1', shown: '%', scale: 'log' },
    lines: [
      {
        name: 'measured',
        role: 'measured',
        x: lit.map(({ commanded }) => commanded),
        y: lit.map(({ level }) => level / scale),
      },
      { name: 'commanded', role: 'commanded', x: sorted, y: sorted },
    ],
    marks: [],
  };
}

/** Averaged light over time with a level to hold it against: neither a flash nor a dip of one average is thinned away. */
export function levelChart(
  { times, values }: Pick<HannTrack, 'times' | 'values'>,
  unit: UnitSymbol,
  level: number,
  at: number,
): Chart {
  const outline = decimateMinMax(values, chartPoints);
  const x = outline.at.map((k) => valueAt(times, k));
  const ends = [x[0] ?? 0, x.at(-1) ?? 0];
  return {
    kind: 'waveform',
    title: 'Light in the window',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'light', unit, scale: 'linear' },
    lines: [
      { name: 'averaged', role: 'measured', x, y: outline.values },
      { name: 'level', role: 'ideal', x: ends, y: [level, level] },
    ],
    marks: [{ at, label: 'here' }],
  };
}
