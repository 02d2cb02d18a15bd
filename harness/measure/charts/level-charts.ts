import { type Chart, chartPoints } from '../evidence.ts';
import type { Averages } from '../features/level/averages.ts';

/** The averages over time, relative to their mean. */
export function averagesChart({ times, values, mean }: Averages, title: string): Chart {
  const every = Math.ceil(times.length / chartPoints);
  const kept = times.map((_, index) => index).filter((index) => index % every === 0);
  const x = kept.map((index) => times[index]!);
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'level relative to its mean', unit: '1', scale: 'linear' },
    lines: [
      { name: 'averaged', role: 'measured', x, y: kept.map((index) => values[index]! / mean) },
      { name: 'mean', role: 'ideal', x: [x[0] ?? 0, x.at(-1) ?? 0], y: [1, 1] },
    ],
    marks: [],
  };
}
