import { complexFft, smoothLength } from './complex-fft.ts';
import { realFft } from './real-fft.ts';
import { valueAt } from './samples.ts';

/** A slow course: points evenly apart. */
export interface Course {
  readonly values: Float64Array;
  /** Distance of two points, and place of the first one, in samples of the record. */
  readonly apart: number;
  readonly first: number;
}

/** Points per period of the highest frequency kept: a peak between two of them is lost by less than 0.5 %. */
export const pointsPerPeriod = 32;
/** Bins of the record over which the filter falls, around the cut-off. */
const transition = 10;
/** Part of the record by which it is continued at either end: three times what the filter looks back. */
const continued = 0.3;
/** Part of the record that tells where it begins and ends. */
const ends = 0.02;

/** @param cutOff cycles a sample */
export type LowPass = (cutOff: number) => Course;

/**
 * Takes out of a record what is faster than a cut-off (transform, cosine-shaped fall around the cut-off, transform
 * back), drawn with at least 32 points per period of the cut-off. Beyond its ends the record is continued mirrored in time and
 * about its level there, so that a drift goes on: tones do not, and should have been taken out before. The record is
 * transformed once, for any number of cut-offs.
 */
export function lowPass(values: Float64Array): LowPass {
  const { long, before } = mirrored(values);
  const { re, im } = realFft(long.length).forward(long);
  const transform = { re, im, length: long.length, before, count: values.length };
  return (cutOff) => filtered(transform, cutOff);
}

interface Transform {
  readonly re: Float64Array;
  readonly im: Float64Array;
  /** Samples that were transformed, those of them before the record, and those of the record. */
  readonly length: number;
  readonly before: number;
  readonly count: number;
}

function filtered({ re, im, length, before, count }: Transform, cutOff: number): Course {
  const fall = transition / count;
  const last = Math.min(length >> 1, Math.floor((cutOff + fall / 2) * length));
  const points = smoothLength(Math.ceil(1.25 * Math.max(64, pointsPerPeriod * last)), 4);
  const real = new Float64Array(points);
  const imaginary = new Float64Array(points);
  // The real part of Σ 2 X_k exp(+2πi kn/points), by a forward transform of the conjugate.
  real[0] = valueAt(re, 0) / length;
  for (let k = 1; k <= last; k++) {
    const kept = (2 * passed((k / length - cutOff) / fall)) / length;
    real[k] = kept * valueAt(re, k);
    imaginary[k] = -kept * valueAt(im, k);
  }
  complexFft(points).forward(real, imaginary);
  const apart = length / points;
  const from = Math.ceil(before / apart);
  const to = Math.floor((before + count - 1) / apart) + 1;
  return { values: real.slice(from, to), apart, first: from * apart - before };
}

/** What passes at so many widths of the fall above the cut-off. */
function passed(above: number): number {
  if (above <= -0.5) return 1;
  return above >= 0.5 ? 0 : 0.5 - 0.5 * Math.sin(Math.PI * above);
}

function mirrored(values: Float64Array): { long: Float64Array; before: number } {
  const count = values.length;
  const length = smoothLength(Math.ceil((1 + 2 * continued) * count), 2);
  const before = Math.min(count - 1, (length - count) >> 1);
  const long = new Float64Array(length);
  const [begin, end] = [levelAt(values, -0.5), levelAt(values, count - 0.5)];
  long.set(values, before);
  for (let k = 0; k < before; k++) long[before - 1 - k] = 2 * begin - valueAt(values, k);
  for (let k = 0; before + count + k < length; k++)
    long[before + count + k] = 2 * end - valueAt(values, Math.max(0, count - 1 - k));
  return { long, before };
}

/** Level of the nearest stretch, on the Hann-weighted straight line through it. */
function levelAt(values: Float64Array, place: number): number {
  const count = Math.max(3, Math.round(ends * values.length));
  const first = place < 0 ? 0 : values.length - count;
  const middle = (count - 1) / 2;
  let [weights, sum, spread, moment] = [0, 0, 0, 0];
  for (let k = 0; k < count; k++) {
    const weight = 1 - Math.cos((2 * Math.PI * (k + 0.5)) / count);
    const own = weight * valueAt(values, first + k);
    weights += weight;
    sum += own;
    spread += weight * (k - middle) ** 2;
    moment += (k - middle) * own;
  }
  return sum / weights + (moment / spread) * (place - first - middle);
}
