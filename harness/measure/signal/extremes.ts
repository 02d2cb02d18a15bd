import { largestOfNormals } from './largest-of-normals.ts';
import { plateauNoise } from './plateau-noise.ts';
import { quickselect } from './quickselect.ts';
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
/** Noise below this part of half the swing is none. */
const clean = 1e-6;

interface Shown {
  /** How far the light may reach beyond the extreme. */
  readonly beyond: number;
  readonly alone: boolean;
}

/** Samples as far out as the extreme that are looked at under noise, and the part of them in flatter surroundings that counts. */
const mostCandidates = 2000;
const flattest = 0.1;

/** Of all samples as far out as the extreme, what those show that stand in the flattest surroundings: the very best, or a tenth under noise. */
function bestShown(samples: Samples, extreme: number, correction: number, swing: Swing): Shown {
  const { half, noise } = swing;
  // What may be noise alone has no course to be led on.
  if (samples.length < 3 || half === 0 || 2 * half < noiseSwing * noise)
    return { beyond: 0, alone: false };
  const reach = Math.max(nearby * half, noise + correction);
  const isClean = noise <= clean * half;
  const last = samples.length - 1;
  const found: number[] = [];
  let atEnd = 0;
  let alone = true;
  for (let k = 0; k <= last && found.length < mostCandidates; k++) {
    const here = sampleAt(samples, k);
    if (Math.abs(here - extreme) > reach) continue;
    const around = surroundings(samples, k);
    const { before, after } = around;
    const isAlone = Math.abs(here - before) > half && Math.abs(here - after) > half;
    if (!isAlone) alone = false;
    const more = beyondSample(around, swing);
    // The end of a record hides a side: it counts where the extreme shows nowhere else.
    if (k < 2 || k > last - 2) atEnd = Math.max(atEnd, more);
    else found.push(more);
    if (found.at(-1) === 0 && isClean && !alone) break;
  }
  const values = Float64Array.from(found);
  const place = isClean ? 0 : Math.floor(flattest * values.length);
  const beyond = values.length === 0 ? atEnd : quickselect(values, place);
  return { beyond, alone };
}

/** A sample and two on either side; at the ends of the record mirrored, so that a pulse there is judged by its one side. */
interface Surroundings {
  readonly secondBefore: number;
  readonly before: number;
  readonly here: number;
  readonly after: number;
  readonly secondAfter: number;
}

function surroundings(samples: Samples, k: number): Surroundings {
  const last = samples.length - 1;
  const at = (place: number): number => {
    const mirrored = place < 0 ? -place : place > last ? 2 * last - place : place;
    return sampleAt(samples, Math.max(0, Math.min(last, mirrored)));
  };
  return {
    secondBefore: at(k - 2),
    before: at(k - 1),
    here: at(k),
    after: at(k + 1),
    secondAfter: at(k + 2),
  };
}

interface Swing {
  /** Half of the record's swing. */
  readonly half: number;
  /** rms of one sample. */
  readonly noise: number;
}

/** Noise bends a flat top by this many times its rms: root of 1 + 4 + 1. */
const usualBend = Math.sqrt(6);

/**
 * How far the light may reach beyond its outermost sample.
 * Smooth: to the vertex of the parabola through it and its neighbours, a twenty-fourth of its second difference more where
 * samples are means over their interval, and what a sine of few samples a period has beyond both (computed for
 * three samples a period and more, points and means, in the worst phase).
 * A corner between straight flanks: to where the flanks meet. It shows in neighbours that bend little.
 * Beside a step: as far as the slope on the other side leads in two samples.
 */
function beyondSample(around: Surroundings, { half, noise }: Swing): number {
  const { before, here, after } = around;
  const bend = Math.abs(before - 2 * here + after) - usualBend * noise;
  if (!(bend > 0) || half === 0) return 0;
  const step = besideStep(around, { half, noise });
  if (step !== null) return step;
  const lean = Math.min(1, Math.abs(after - before) / bend);
  const coarse = Math.min(1, bend / (2 * half)) ** 2;
  const smooth = bend * (lean ** 2 / 8 + 1 / 24 + coarse * (0.03 + 0.28 * lean ** 2));
  const straight = (0.6 - neighboursBend(around, noise) / bend) / 0.4;
  const isCorner = Math.max(0, Math.min(1, straight));
  return smooth + isCorner * Math.max(0, (1.15 + coarse) * cornerBeyond(around) - smooth);
}

/** Beyond the middle sample, where the lines through the two samples on either side of it meet. */
function cornerBeyond({ secondBefore, before, here, after, secondAfter }: Surroundings): number {
  const sign = here >= before + after - here ? 1 : -1;
  const rise = sign * (before - secondBefore);
  const fall = sign * (after - secondAfter);
  // A flank that is none is a step: the other one may lead on for a whole sample.
  const apart = [sign * (here - before), sign * (here - after)] as const;
  if (!(rise > 0 && fall > 0))
    return Math.max(0, Math.min(...apart), Math.min(Math.max(...apart), Math.max(rise, fall)));
  const place = (sign * (after - before) + fall - rise) / (rise + fall);
  const inside = Math.max(-1, Math.min(1, place));
  return Math.max(Math.min(...apart) / 2, sign * (before - here) + rise * (inside + 1), 0);
}

/** The smaller second difference of the two neighbours, clear of noise. */
function neighboursBend(
  { secondBefore, before, here, after, secondAfter }: Surroundings,
  noise: number,
): number {
  const first = Math.abs(secondBefore - 2 * before + here);
  const second = Math.abs(here - 2 * after + secondAfter);
  return Math.max(0, Math.min(first, second) - usualBend * noise);
}

/** Beside a step: how far the slope on its other side leads; null where there is no step, or no level beside it. */
function besideStep(
  { secondBefore, before, here, after, secondAfter }: Surroundings,
  { half, noise }: Swing,
): number | null {
  const near = (value: number): boolean => Math.abs(here - value) <= half / 4;
  const far = (value: number): boolean => Math.abs(here - value) > half;
  // The slope may show between the next two only, where the step falls into the sample itself.
  const led = (next: number, second: number): number => {
    const slope = Math.max(Math.abs(here - next), Math.abs(next - second));
    return 2 * Math.max(0, slope - 2 * noise);
  };
  if (far(before) && near(after) && near(secondAfter)) return led(after, secondAfter);
  return far(after) && near(before) && near(secondBefore) ? led(before, secondBefore) : null;
}
