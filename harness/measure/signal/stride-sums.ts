import { memoiseSamples } from './memoise.ts';
import { valueAt } from './samples.ts';

/** Per stride of samples: their sum, and their sums times cosine and sine of the angle that a window turns by. */
export interface StrideSums {
  readonly plain: Float64Array;
  readonly even: Float64Array;
  readonly odd: Float64Array;
}

/**
 * Sums of `blocks` neighbouring strides, the first of them beginning at sample `first`, for Hann windows of `count`
 * samples.
 */
export const strideSums = memoiseSamples(
  (samples, first: number, blocks: number, count: number, stride: number): StrideSums => {
    const { cos, sin } = strideAngles(count, stride);
    const sums = {
      plain: new Float64Array(blocks),
      even: new Float64Array(blocks),
      odd: new Float64Array(blocks),
    };
    for (let block = 0; block < blocks; block++) {
      const begin = first + block * stride;
      let [plain, even, odd] = [0, 0, 0];
      for (let k = 0; k < stride; k++) {
        const value = samples[begin + k]!;
        plain += value;
        even += value * cos[k]!;
        odd += value * sin[k]!;
      }
      sums.plain[block] = plain;
      sums.even[block] = even;
      sums.odd[block] = odd;
    }
    return sums;
  },
);

/** Cosine and sine of the window's angle over its first stride, at the middles of the samples. */
export function strideAngles(
  count: number,
  stride: number,
): { readonly cos: Float64Array; readonly sin: Float64Array } {
  const cos = new Float64Array(stride);
  const sin = new Float64Array(stride);
  for (let k = 0; k < stride; k++) {
    cos[k] = Math.cos((2 * Math.PI * (k + 0.5)) / count);
    sin[k] = Math.sin((2 * Math.PI * (k + 0.5)) / count);
  }
  return { cos, sin };
}

/** Hann-weighted means in `windows` windows of `count` samples, `strides` strides each: a window turns its strides' sums. */
export function meansOfStrides(
  { plain, even, odd }: StrideSums,
  windows: number,
  count: number,
  strides: number,
): Float64Array {
  const turned = new Float64Array(strides).map((_, b) => (2 * Math.PI * b) / strides);
  const cos = turned.map(Math.cos);
  const sin = turned.map(Math.sin);
  return new Float64Array(windows).map((_, window) => {
    let sum = 0;
    for (let b = 0; b < strides; b++) {
      const block = window + b;
      sum +=
        valueAt(plain, block) -
        valueAt(even, block) * valueAt(cos, b) +
        valueAt(odd, block) * valueAt(sin, b);
    }
    return sum / count;
  });
}
