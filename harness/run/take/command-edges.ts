import type { RawCapture } from '../../bench/ports.ts';

/** Half the width of the average that the edge is looked for in, s: longer than a cycle of most modulators. */
const half = 1e-3;
/** An edge is looked for from so long before the command until so long after, s … */
const before = 0.05;
const after = 0.25;
/** … between levels that are this far from it, s, and this wide. */
const away = 0.06;
const wide = 0.1;
/** A change is one when it is this many times the scatter of the averages before it. */
const certainty = 8;

/**
 * Where a record passes the middle between its levels before and after a command, on the record's time, s; null where it
 * does not change by more than its scatter. `at`: of the command, s.
 */
export function edgeAfter(record: RawCapture, at: number): number | null {
  const low = levelIn(record, at - away - wide, at - away);
  const high = levelIn(record, at + after, at + after + wide);
  if (!low || !high || Math.abs(high.mean - low.mean) <= certainty * low.scatter) return null;
  const middle = (low.mean + high.mean) / 2;
  const rising = high.mean > low.mean;
  const step = half / 4;
  let last = averageAt(record, at - before);
  for (let t = at - before + step; t < at + after; t += step) {
    const next = averageAt(record, t);
    const passes = rising ? last <= middle && next > middle : last >= middle && next < middle;
    if (passes) return t - step + (step * (middle - last)) / (next - last);
    last = next;
  }
  return null;
}

/** The first instant at which a pin goes up after a command, s; null where it does not. */
export function pulseAfter(record: RawCapture, at: number): number | null {
  const { codes, rate, start } = record;
  let [least, most] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = 0; k < codes.length; k++) {
    const code = codes[k] ?? 0;
    if (code < least) least = code;
    if (code > most) most = code;
  }
  const middle = (least + most) / 2;
  const from = Math.max(1, Math.ceil((at - before - start) * rate));
  const to = Math.min(codes.length, (at + after - start) * rate);
  for (let k = from; k < to; k++)
    if ((codes[k - 1] ?? 0) <= middle && (codes[k] ?? 0) > middle) return start + k / rate;
  return null;
}

function averageAt(record: RawCapture, at: number): number {
  const { sum, count } = sumIn(record, at - half, at + half);
  return sum / Math.max(1, count);
}

function levelIn(
  record: RawCapture,
  from: number,
  to: number,
): { readonly mean: number; readonly scatter: number } | null {
  const values: number[] = [];
  for (let t = from + half; t <= to - half; t += 2 * half) values.push(averageAt(record, t));
  const { count } = sumIn(record, from, to);
  // The record has to reach there.
  if (count < 0.9 * (to - from) * record.rate || values.length < 2) return null;
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, scatter: Math.sqrt(square / (values.length - 1)) };
}

function sumIn({ codes, rate, start }: RawCapture, from: number, to: number) {
  const first = Math.max(0, Math.ceil((from - start) * rate));
  const last = Math.min(codes.length, Math.floor((to - start) * rate));
  let sum = 0;
  for (let k = first; k < last; k++) sum += codes[k] ?? 0;
  return { sum, count: Math.max(0, last - first) };
}
