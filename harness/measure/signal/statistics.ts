import type { Samples } from './samples.ts';

/** What one pass over a record tells. All in the record's unit. */
export interface Statistics {
  readonly mean: number;
  readonly lowest: number;
  readonly highest: number;
  /** Index of the first extreme sample of each kind. */
  readonly lowestAt: number;
  readonly highestAt: number;
  /** Index of the first sample that is no finite number, or -1. */
  readonly notFiniteAt: number;
}

/** Mean and extremes of a record in one pass. An empty record has a mean of NaN. */
export function statistics(samples: Samples): Statistics {
  let sum = 0;
  let lowest = Infinity;
  let highest = -Infinity;
  let lowestAt = -1;
  let highestAt = -1;
  for (let k = 0; k < samples.length; k++) {
    const value = samples[k]!;
    sum += value;
    if (value < lowest) {
      lowest = value;
      lowestAt = k;
    }
    if (value > highest) {
      highest = value;
      highestAt = k;
    }
  }
  // A sum of finite samples is finite for any physical record, so a second pass is only needed to name the culprit.
  const notFiniteAt = Number.isFinite(sum) ? -1 : samples.findIndex((v) => !Number.isFinite(v));
  return { mean: sum / samples.length, lowest, highest, lowestAt, highestAt, notFiniteAt };
}
