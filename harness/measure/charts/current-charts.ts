import { type Chart, chartPoints, type Line } from '../evidence.ts';
import { decimateMinMax } from '../signal/decimate-min-max.ts';
import type { Waveform } from '../waveform.ts';

/** The current over a stretch, lowest and highest of each group of samples, with levels worth a line. */
export function currentChart(
  { samples, rate, start, unit }: Waveform,
  title: string,
  { from, to }: { readonly from: number; readonly to: number },
  levels: readonly { readonly name: string; readonly level: number }[] = [],
  marks: Chart['marks'] = [],
): Chart {
  const first = Math.max(0, Math.floor((from - start) * rate));
  const last = Math.min(samples.length, Math.ceil((to - start) * rate));
  const { at, values } = decimateMinMax(samples.subarray(first, last), chartPoints);
  const x = at.map((place) => start + (first + place + 0.5) / rate);
  const ends = [x[0] ?? from, x.at(-1) ?? to];
  const lines = levels.map(
    ({ name, level }): Line => ({ name, role: 'target', x: ends, y: [level, level] }),
  );
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'current', unit, scale: 'linear' },
    lines: [{ name: 'measured', role: 'measured', x, y: values }, ...lines],
    marks: marks.slice(0, 20),
  };
}
