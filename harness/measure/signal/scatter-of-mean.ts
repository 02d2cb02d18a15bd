import { type Samples, sampleAt } from './samples.ts';

/** Parts of a record whose means tell how well the mean of all is known. */
export const parts = 10;

/**
 * Standard uncertainty of the mean of a record, from the scatter of the means of its parts: neighbours may be alike, parts
 * hardly are. In the samples' unit.
 * Source: JCGM 100:2008 4.2.3 (clause from memory).
 */
export function scatterOfMean(samples: Samples): number {
  const size = Math.floor(samples.length / parts);
  const means = Array.from({ length: parts }, (_, part) => {
    let sum = 0;
    for (let k = part * size; k < (part + 1) * size; k++) sum += sampleAt(samples, k);
    return sum / size;
  });
  const mean = means.reduce((a, b) => a + b, 0) / parts;
  const variance = means.reduce((sum, each) => sum + (each - mean) ** 2, 0) / (parts - 1);
  return Math.sqrt(variance / parts);
}
