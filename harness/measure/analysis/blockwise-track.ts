import { deviates } from '../signal/deviates.ts';
import { keptWith } from '../signal/memoise.ts';
import type { Waveform } from '../waveform.ts';
import { type Change, originOf, placeOf } from './disturbed-waveform.ts';

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
export function blockwiseTrack(waveform: Waveform, layout: TrackLayout): readonly number[] {
  const { waveform: original, change } = originOf(waveform) ?? { waveform, change: null };
  const { samples } = original;
  const { first, windows, count, stride } = layout;
  const strides = count / stride;
  const blocks = windows === 0 ? 0 : windows + strides - 1;
  const sums = keptWith(samples, `stride sums ${first} ${blocks} ${count} ${stride}`, () =>
    strideSums(samples, first, blocks, count, stride),
  );
  const moved = change ? changedSums(sums, change, layout, placeOf(samples) + first) : sums;
  const cos = Array.from({ length: strides }, (_, b) => Math.cos((2 * Math.PI * b) / strides));
  const sin = Array.from({ length: strides }, (_, b) => Math.sin((2 * Math.PI * b) / strides));
  return Array.from({ length: windows }, (_, window) => {
    let sum = 0;
    for (let b = 0; b < strides; b++) {
      const at = 3 * (window + b);
      sum += moved[at]! - moved[at + 1]! * cos[b]! + moved[at + 2]! * sin[b]!;
    }
    return sum / count;
  });
}

/** Per stride: the sum of its samples, and of its samples times cosine and sine. */
function strideSums(
  samples: Waveform['samples'],
  first: number,
  blocks: number,
  count: number,
  stride: number,
): Float64Array {
  const { cos, sin } = turn(count, stride);
  const sums = new Float64Array(3 * blocks);
  for (let block = 0; block < blocks; block++) {
    const begin = first + block * stride;
    let [plain, even, odd] = [0, 0, 0];
    for (let k = 0; k < stride; k++) {
      const value = samples[begin + k]!;
      plain += value;
      even += value * cos[k]!;
      odd += value * sin[k]!;
    }
    sums[3 * block] = plain;
    sums[3 * block + 1] = even;
    sums[3 * block + 2] = odd;
  }
  return sums;
}

/** Cosine and sine of the window's angle over its first stride, at the middles of the samples. */
function turn(count: number, stride: number): { cos: Float64Array; sin: Float64Array } {
  const cos = new Float64Array(stride);
  const sin = new Float64Array(stride);
  for (let k = 0; k < stride; k++) {
    cos[k] = Math.cos((2 * Math.PI * (k + 0.5)) / count);
    sin[k] = Math.sin((2 * Math.PI * (k + 0.5)) / count);
  }
  return { cos, sin };
}

function changedSums(
  sums: Float64Array,
  { gain, offset, noise }: Change,
  { count, stride }: TrackLayout,
  place: number,
): Float64Array {
  const { cos, sin } = turn(count, stride);
  const product = (a: Float64Array | null, b: Float64Array | null): number => {
    let sum = 0;
    for (let k = 0; k < stride; k++) sum += (a ? a[k]! : 1) * (b ? b[k]! : 1);
    return sum;
  };
  const ones = [product(null, null), product(cos, null), product(sin, null)] as const;
  const moved = sums.map((sum, k) => sum * gain + offset * ones[k % 3]!);
  if (!noise) return moved;
  // Root of the covariance (Cholesky): rounding may leave the last of a short stride a hair below nought.
  const a = Math.sqrt(ones[0]);
  const [b, d] = [ones[1] / a, ones[2] / a];
  const c = Math.sqrt(Math.max(0, product(cos, cos) - b * b));
  const e = c > 1e-9 ? (product(cos, sin) - b * d) / c : 0;
  const f = Math.sqrt(Math.max(0, product(sin, sin) - d * d - e * e));
  const { standard, seed } = noise;
  const own = seed ^ Math.imul(count, 0x9e3779b1) ^ Math.imul(stride, 0x45d9f3b);
  const drawn = deviates(sums.length, own, 3 * place);
  for (let k = 0; k < moved.length; k += 3) {
    const [x, y, z] = [drawn[k]!, drawn[k + 1]!, drawn[k + 2]!];
    moved[k] = moved[k]! + standard * a * x;
    moved[k + 1] = moved[k + 1]! + standard * (b * x + c * y);
    moved[k + 2] = moved[k + 2]! + standard * (d * x + e * y + f * z);
  }
  return moved;
}
