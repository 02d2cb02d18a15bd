import { hannWeights } from './hann.ts';
import { type RealFft, realFft } from './real-fft.ts';
import { type Sampled, sampleAt, valueAt } from './samples.ts';

/** Spectra of short frames, one after another. */
export interface ShortTimeSpectra {
  /** Middle of each frame, s from the first sample. */
  readonly times: readonly number[];
  /** Of each frame the amplitudes by bin, relative to its mean; 0 in the dark and where noise may make as much. */
  readonly frames: readonly Float64Array[];
  /** Hz from bin to bin. */
  readonly resolution: number;
}

/**
 * Amplitudes of the changes of a light over time: frames of `length` seconds under a Hann window, every half of it anew, so that each
 * sample counts fully in one of two. What white noise of `noise` rms makes, and four times that, is left out. Of each frame its least-squares parabola is taken off, which is what a fade does meanwhile.
 * Source: the short-time transform as textbooks have it; scaled so that a steady sine has its amplitude (computed).
 */
export function shortTimeSpectra(
  { samples, rate }: Sampled,
  length: number,
  noise: number,
): ShortTimeSpectra {
  const count = Math.max(16, 2 * Math.round((length * rate) / 2));
  const hop = count / 2;
  const fft = realFft(count);
  const weights = hannWeights(count);
  const least = clear * noise * Math.sqrt(weights.reduce((sum, each) => sum + each * each, 0));
  const times: number[] = [];
  const frames: Float64Array[] = [];
  const part = new Float64Array(count);
  for (let first = 0; first + count <= samples.length; first += hop) {
    for (let k = 0; k < count; k++) part[k] = sampleAt(samples, first + k);
    times.push((first + hop) / rate);
    frames.push(amplitudes(part, weights, fft, least));
  }
  return { times, frames, resolution: rate / count };
}

/** So many times the rms of noise in a bin no noise reaches in a picture: exp(-16) of all bins (Rayleigh; computed). */
const clear = 4;

function amplitudes(
  part: Float64Array,
  weights: Float64Array,
  fft: RealFft,
  least: number,
): Float64Array {
  let sum = 0;
  for (let k = 0; k < part.length; k++) sum += valueAt(part, k);
  const mean = sum / part.length;
  const found = new Float64Array(fft.bins);
  if (!(mean > 0)) return found;
  const level = levelled(part);
  for (let k = 0; k < level.length; k++) level[k] = valueAt(level, k) * valueAt(weights, k);
  const { re, im } = fft.forward(level);
  for (let k = 0; k < found.length; k++) {
    const size = Math.sqrt(valueAt(re, k) ** 2 + valueAt(im, k) ** 2);
    if (size > least) found[k] = (2 * size) / mean;
  }
  return found;
}

/** Without its mean, slope and bend: orthogonal polynomials of the second degree and below. */
function levelled(part: Float64Array): Float64Array {
  const count = part.length;
  // The mean of t² over the places, so that no term has a part of another.
  const middle = (1 - 1 / count ** 2) / 3;
  let [mean, slope, slopes, bend, bends] = [0, 0, 0, 0, 0];
  for (let k = 0; k < count; k++) {
    const value = valueAt(part, k);
    const t = (2 * (k + 0.5)) / count - 1;
    const b = t * t - middle;
    mean += value;
    slope += t * value;
    slopes += t * t;
    bend += b * value;
    bends += b * b;
  }
  mean /= count;
  slope /= slopes;
  bend /= bends;
  const left = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const t = (2 * (k + 0.5)) / count - 1;
    left[k] = valueAt(part, k) - mean - slope * t - bend * (t * t - middle);
  }
  return left;
}
