import type { Window } from '../../measure/observation.ts';
import type { RawRecord } from './raw-record.ts';

/**
 * Mean of a record over a time on the condition's time line (s), in the unit of its wire, and over how many seconds of it
 * the record has samples; NaN where it has none.
 */
export function meanOfRecord(
  { raw }: RawRecord,
  { from, to }: Window,
): { readonly mean: number; readonly covered: number } {
  const { codes, rate, start, scale, offset } = raw;
  const first = Math.max(0, Math.ceil((from - start) * rate));
  const last = Math.min(codes.length, Math.floor((to - start) * rate));
  let sum = 0;
  for (let index = first; index < last; index++) sum += codes[index] ?? 0;
  return {
    mean: (sum / Math.max(0, last - first)) * scale + offset,
    covered: Math.max(0, last - first) / rate,
  };
}
