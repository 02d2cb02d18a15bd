import { largestOfNormals } from './largest-of-normals.ts';
import { plateauNoise } from './plateau-noise.ts';
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
 * No more is taken off than the scatter of those very samples shows: edges of pulses and a modulator without a period pass for
 * noise elsewhere in the record, but their plateaus are flat.
 *
 * @param noise rms of one sample, in the record's unit; too high an estimate does no harm
 */
export function extremes(samples: Samples, found: Statistics, noise: number): Extremes {
  const { lowest, highest } = found;
  const half = (highest - lowest) / 2;
  const top = plateauNoise(samples, highest, 1, noise);
  const bottom = plateauNoise(samples, lowest, -1, noise);
  // A steady record is all noise: what is left between the two corrected extremes may not change its order.
  const highCorrection = Math.min(half, top.rms * largestOfNormals(top.count));
  const lowCorrection = Math.min(half, bottom.rms * largestOfNormals(bottom.count));
  const peak = bestShown(samples, highest, highCorrection, { half, noise: top.rms });
  const pit = bestShown(samples, lowest, lowCorrection, { half, noise: bottom.rms });
  return {
    low: lowest + lowCorrection,
    high: highest - highCorrection,
    lowCorrection,
    highCorrection,
    lowBetween: pit.beyond / Math.sqrt(3),
    highBetween: peak.beyond / Math.sqrt(3),
    lowAlone: pit.alone,
    highAlone: peak.alone,
  };
}

/** A swing of this many times the noise may be noise alone. */
const noiseSwing = 12;
/** Samples this close to the extreme are as high as it, as a part of half the swing. */
const nearby = 2e-3;

interface Shown {
  /** How far the light may reach beyond the extreme. */
  readonly beyond: number;
  readonly alone: boolean;
}

/** Of all samples as far out as the extreme, what the one shows that stands in the flattest surroundings. */
function bestShown(
  samples: Samples,
  extreme: number,
  correction: number,
  { half, noise }: { readonly half: number; readonly noise: number },
): Shown {
  const canBeAlone = samples.length >= 3 && half > 0 && 2 * half >= noiseSwing * noise;
  const reach = Math.max(nearby * half, noise + correction);
  const last = samples.length - 1;
  let beyond = Number.POSITIVE_INFINITY;
  let atEnd = 0;
  let alone = true;
  for (let k = 0; k <= last && (beyond > 0 || alone); k++) {
    const here = sampleAt(samples, k);
    if (Math.abs(here - extreme) > reach) continue;
    // A pulse on the record's end is judged by its one neighbour.
    const before = k > 0 ? sampleAt(samples, k - 1) : sampleAt(samples, Math.min(1, last));
    const after = k < last ? sampleAt(samples, k + 1) : before;
    const isAlone = Math.abs(here - before) > half && Math.abs(here - after) > half;
    if (!isAlone || !canBeAlone) alone = false;
    const more = beyondSample(before, here, after, { half, noise });
    // The end of a record hides one side: it counts where the extreme shows nowhere else.
    if (k === 0 || k === last) atEnd = Math.max(atEnd, more);
    else beyond = Math.min(beyond, more);
  }
  return {
    beyond: beyond === Number.POSITIVE_INFINITY ? atEnd : beyond,
    alone: alone && canBeAlone,
  };
}

/**
 * How far the light may reach beyond its outermost sample: to the vertex of the parabola through it and its neighbours, a
 * twenty-fourth of its second difference more where samples are means over their interval, and what a sine
 * of few samples a period has beyond both (computed for three samples a period and more, points and means, in the worst phase).
 */
function beyondSample(
  before: number,
  here: number,
  after: number,
  { half, noise }: { readonly half: number; readonly noise: number },
): number {
  // Noise bends a flat top by about 2.4 of its rms (root of 1 + 4 + 1), and more at the highest sample.
  const bend = Math.abs(before - 2 * here + after) - 6 * noise;
  if (!(bend > 0) || half === 0) return 0;
  const lean = Math.min(1, Math.abs(after - before) / bend);
  const coarse = Math.min(1, bend / (2 * half)) ** 2;
  return bend * (lean ** 2 / 8 + 1 / 24 + coarse * (0.03 + 0.28 * lean ** 2));
}
