import { quickselect } from './quickselect.ts';
import { type Samples, sampleAt, valueAt } from './samples.ts';
import { statistics } from './statistics.ts';

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
export function pulseLevels(samples: Samples, noise: number): PulseLevels | null {
  const stride = Math.max(1, Math.floor(samples.length / enough));
  const some = new Float64Array(Math.ceil(samples.length / stride));
  for (let k = 0; k < some.length; k++) some[k] = sampleAt(samples, k * stride);
  if (some.length < 2) return null;
  let { lowest: low, highest: high } = statistics(some);
  let middle = (low + high) / 2;
  for (let round = 0; round < 2; round++) {
    const split = putBelow(some, middle);
    if (split === 0 || split === some.length) return null;
    low = quickselect(some.subarray(0, split), split >> 1);
    high = quickselect(some.subarray(split), (some.length - split) >> 1);
    middle = (low + high) / 2;
  }
  return high - low > 6 * noise && high - low > 0 ? { low, high, middle } : null;
}

/** Puts the values up to `limit` before the others; their number. */
function putBelow(values: Float64Array, limit: number): number {
  let split = 0;
  for (let k = 0; k < values.length; k++) {
    const value = valueAt(values, k);
    if (value > limit) continue;
    values[k] = valueAt(values, split);
    values[split++] = value;
  }
  return split;
}
