import { deviates } from '../signal/deviates.ts';
import { valueAt } from '../signal/samples.ts';
import {
  meansOfStrides,
  type StrideSums,
  strideAngles,
  strideSums,
} from '../signal/stride-sums.ts';
import type { Waveform } from '../waveform.ts';
import { isDisturbed, type Noise, offsetInBuffer, type SampleError } from './disturbed-waveform.ts';

/** Windows of `count` samples, `stride` apart, the first of them beginning at sample `first`. */
export interface TrackLayout {
  readonly first: number;
  readonly windows: number;
  readonly count: number;
  readonly stride: number;
}

/**
 * Hann-weighted means in overlapping windows of a whole number of strides: each stride of samples is summed once, plain
 * and times cosine and sine of the window's angle, and a window turns and adds the sums of its strides. Exact.
 *
 * Gain, offset and white noise are given to these sums and not to the samples: the three sums of a stride of noise are
 * three normal variables, of which the covariance is known.
 */
export function blockwiseTrack(waveform: Waveform, layout: TrackLayout): Float64Array {
  const { first, windows, count, stride } = layout;
  const strides = count / stride;
  const blocks = windows === 0 ? 0 : windows + strides - 1;
  const { samples } = isDisturbed(waveform) ? waveform.recorded : waveform;
  const recorded = strideSums(samples, first, blocks, count, stride);
  const sums = isDisturbed(waveform)
    ? disturbedSums(recorded, waveform.error, layout, offsetInBuffer(samples) + first)
    : recorded;
  return meansOfStrides(sums, windows, count, strides);
}

function disturbedSums(
  { plain, even, odd }: StrideSums,
  { gain, offset, noise }: SampleError,
  { count, stride }: TrackLayout,
  place: number,
): StrideSums {
  const { cos, sin } = strideAngles(count, stride);
  // Over the whole of a window neither cosine nor sine has a part of an offset.
  const disturbed = {
    plain: plain.map((sum) => sum * gain + offset * stride),
    even: even.map((sum) => sum * gain),
    odd: odd.map((sum) => sum * gain),
  };
  if (noise) {
    const own = noise.seed ^ Math.imul(count, 0x9e3779b1) ^ Math.imul(stride, 0x45d9f3b);
    addNoise(disturbed, { ...noise, seed: own }, rootOfCovariance(cos, sin), 3 * place);
  }
  return disturbed;
}

/** Σ a b. */
function product(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < a.length; k++) sum += valueAt(a, k) * valueAt(b, k);
  return sum;
}

/** Rows of the lower triangle. */
interface Root {
  readonly plain: number;
  readonly even: readonly [number, number];
  readonly odd: readonly [number, number, number];
}

/** Root of the covariance of the three sums of a stride of white noise of rms 1 (Cholesky). */
function rootOfCovariance(cos: Float64Array, sin: Float64Array): Root {
  const ones = new Float64Array(cos.length).fill(1);
  const a = Math.sqrt(product(ones, ones));
  const [b, d] = [product(cos, ones) / a, product(sin, ones) / a];
  // Rounding may leave the last of a short stride a hair below 0.
  const c = Math.sqrt(Math.max(0, product(cos, cos) - b * b));
  const e = c > 1e-9 ? (product(cos, sin) - b * d) / c : 0;
  const f = Math.sqrt(Math.max(0, product(sin, sin) - d * d - e * e));
  return { plain: a, even: [b, c], odd: [d, e, f] };
}

/** Adds to the sums what noise, drawn from `place` on, does to them. */
function addNoise(
  { plain, even, odd }: StrideSums,
  { standard, seed }: Noise,
  root: Root,
  place: number,
): void {
  const [b, c] = root.even;
  const [d, e, f] = root.odd;
  const drawn = deviates(3 * plain.length, seed, place);
  for (let k = 0; k < plain.length; k++) {
    const x = valueAt(drawn, 3 * k);
    const y = valueAt(drawn, 3 * k + 1);
    const z = valueAt(drawn, 3 * k + 2);
    plain[k] = valueAt(plain, k) + standard * root.plain * x;
    even[k] = valueAt(even, k) + standard * (b * x + c * y);
    odd[k] = valueAt(odd, k) + standard * (d * x + e * y + f * z);
  }
}
