import { type Chart, chartPoints, type Line } from '../evidence.ts';
import { sampleAt } from '../signal/samples.ts';
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
  const group = Math.max(1, Math.ceil((2 * (last - first)) / chartPoints));
  const x: number[] = [];
  const y: number[] = [];
  for (let begin = first; begin < last; begin += group) {
    const end = Math.min(last, begin + group);
    let [low, high] = [begin, begin];
    for (let index = begin; index < end; index++) {
      if (sampleAt(samples, index) < sampleAt(samples, low)) low = index;
      if (sampleAt(samples, index) > sampleAt(samples, high)) high = index;
    }
    for (const index of low === high ? [low] : [Math.min(low, high), Math.max(low, high)]) {
      x.push(start + (index + 0.5) / rate);
      y.push(sampleAt(samples, index));
    }
  }
  const ends = [x[0] ?? from, x.at(-1) ?? to];
  const lines = levels.map(
    ({ name, level }): Line => ({ name, role: 'target', x: ends, y: [level, level] }),
  );
  return {
    kind: 'waveform',
    title,
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'current', unit, scale: 'linear' },
    lines: [{ name: 'measured', role: 'measured', x, y }, ...lines],
    marks: marks.slice(0, 20),
  };
}
