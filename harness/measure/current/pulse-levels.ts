import type { Waveform } from '../signal/waveform.ts';

/** The two levels that a switched current stands at, in the record's unit. */
export interface PulseLevels {
  readonly low: number;
  readonly high: number;
  readonly middle: number;
}

/** Samples that the search looks at, at most. */
const enough = 200_000;

/**
 * Low and high level of a two-level waveform: medians of the samples below and above the middle between the extremes,
 * taken twice so that overshoot does not shift the middle. Null where there are no two levels: all samples within
 * six times the noise.
 * Source: IEEE 181 5.2 (state levels; the medians stand for its histogram modes; from memory).
 */
export function pulseLevels({ samples }: Waveform, noise: number): PulseLevels | null {
  const stride = Math.max(1, Math.floor(samples.length / enough));
  const some = Float64Array.from(
    { length: Math.ceil(samples.length / stride) },
    (_, index) => samples[index * stride]!,
  ).sort();
  if (some.length < 2) return null;
  let middle = (some[0]! + some.at(-1)!) / 2;
  let low = some[0]!;
  let high = some.at(-1)!;
  for (let round = 0; round < 2; round++) {
    const split = firstAbove(some, middle);
    if (split === 0 || split === some.length) return null;
    low = some[split >> 1]!;
    high = some[(split + some.length) >> 1]!;
    middle = (low + high) / 2;
  }
  return high - low > 6 * noise && high - low > 0 ? { low, high, middle } : null;
}

function firstAbove(sorted: Float64Array, value: number): number {
  let [from, to] = [0, sorted.length];
  while (from < to) {
    const at = (from + to) >> 1;
    if (sorted[at]! > value) to = at;
    else from = at + 1;
  }
  return from;
}
