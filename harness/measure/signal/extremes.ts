import { normalQuantile } from './normal-quantile.ts';
import { type Samples, sampleAt } from './samples.ts';
import type { Statistics } from './statistics.ts';

/** Lowest and highest value of the light behind a noisy record. All in the record's unit. */
export interface Extremes {
  readonly low: number;
  readonly high: number;
  /** What the noise had added on either side. */
  readonly lowCorrection: number;
  readonly highCorrection: number;
  /** Standard uncertainty from what may lie between two samples. */
  readonly lowBetween: number;
  readonly highBetween: number;
  /** The extreme is one sample alone, both neighbours on the other half: a pulse too narrow to show its height. */
  readonly lowAlone: boolean;
  readonly highAlone: boolean;
}

/**
 * The extremes with what white noise adds to them taken off: of n samples on a plateau the highest lies
 * noise·e(n) above it, with e(n) the expected largest of n normal deviates (Blom 1958). n is the number of samples
 * that could have been the highest, so a single narrow pulse keeps its height, and a long flat top loses the most.
 *
 * @param noise rms of one sample, in the record's unit
 */
export function extremes(
  samples: Samples,
  { lowest, highest, lowestAt, highestAt }: Statistics,
  noise: number,
): Extremes {
  const reach = 2 * largestOfNormals(samples.length) * noise;
  let nearLow = 0;
  let nearHigh = 0;
  if (noise > 0) {
    const lowEdge = lowest + reach;
    const highEdge = highest - reach;
    for (let k = 0; k < samples.length; k++) {
      const value = samples[k]!;
      if (value <= lowEdge) nearLow++;
      if (value >= highEdge) nearHigh++;
    }
  }
  const lowCorrection = noise * largestOfNormals(nearLow);
  const highCorrection = noise * largestOfNormals(nearHigh);
  // A steady record is all noise: what is left between the two corrected extremes may not change its order.
  const half = (highest - lowest) / 2;
  return {
    low: lowest + Math.min(half, lowCorrection),
    high: highest - Math.min(half, highCorrection),
    lowCorrection: Math.min(half, lowCorrection),
    highCorrection: Math.min(half, highCorrection),
    lowBetween: betweenSamples(samples, lowestAt, noise),
    highBetween: betweenSamples(samples, highestAt, noise),
    lowAlone: isAlone(samples, lowestAt, half, noise),
    highAlone: isAlone(samples, highestAt, half, noise),
  };
}

/** A swing of this many times the noise may be noise alone. */
const noiseSwing = 12;

function isAlone(samples: Samples, at: number, half: number, noise: number): boolean {
  if (samples.length < 3 || half === 0 || 2 * half < noiseSwing * noise) return false;
  const here = sampleAt(samples, at);
  // A pulse on the record's end is judged by its one neighbour.
  const before = samples[at - 1] ?? sampleAt(samples, at + 1);
  const after = samples[at + 1] ?? before;
  return Math.abs(here - before) > half && Math.abs(here - after) > half;
}

/** Expected largest of n standard normal deviates. */
export function largestOfNormals(n: number): number {
  return n <= 1 ? 0 : normalQuantile((n - 0.375) / (n + 0.25));
}

/**
 * How far a smooth peak may reach beyond its highest sample: an eighth of the second difference where samples are
 * points, a twenty-fourth more where they are means over their interval; taken as the half-width of a rectangle.
 */
function betweenSamples(samples: Samples, at: number, noise: number): number {
  if (at < 1 || at >= samples.length - 1) return 0;
  const bend = Math.abs(
    sampleAt(samples, at - 1) - 2 * sampleAt(samples, at) + sampleAt(samples, at + 1),
  );
  // Noise bends a flat top by about 2.4 of its rms (root of 1 + 4 + 1), and more at the highest sample.
  return Math.max(0, bend - 6 * noise) / 6 / Math.sqrt(3);
}
