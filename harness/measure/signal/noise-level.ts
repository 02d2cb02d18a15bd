import { memoiseSamples } from './memoise.ts';
import type { NoiseFloor } from './noise-floor.ts';
import { quickselect } from './quickselect.ts';
import type { Samples } from './samples.ts';

/** Binomial weights of the sixth difference, and the root of their squares' sum: its gain on white noise. */
const weights = Float64Array.of(1, -6, 15, -20, 15, -6, 1);
const gain = Math.sqrt(924);
/** Median of the absolute value of a normal variable, in standard deviations. */
const medianOfNormal = 0.67449;
/** So many differences settle the median to better than 2 %. */
const enough = 8192;

/**
 * White noise of one sample (rms, in the record's unit), told from the light by two estimators, of which the smaller
 * counts, as each can only be misled upwards: the floor between the lines of the spectrum (misled where lines fill a
 * coarse spectrum) and the median sixth difference (misled where an edge falls on most groups of seven samples).
 * Light that repeats in no line (true random modulation) counts as noise in both.
 */
export function noiseLevel(samples: Samples, floor: NoiseFloor): number {
  return Math.min(floor.rms, sixthDifferenceNoise(samples));
}

/** White noise of one sample by the median sixth difference: none of the light's own course is left in it. */
export const sixthDifferenceNoise = memoiseSamples(medianDifference);

function medianDifference(samples: Samples): number {
  const count = samples.length - 6;
  if (count < 1) return 0;
  const apart = Math.max(1, Math.floor(count / enough)) | 1;
  const differences = new Float64Array(Math.ceil(count / apart));
  for (let d = 0; d < differences.length; d++) {
    let sum = 0;
    for (let w = 0; w < 7; w++) sum += weights[w]! * samples[d * apart + w]!;
    differences[d] = Math.abs(sum);
  }
  return quickselect(differences, differences.length >> 1) / (medianOfNormal * gain);
}
