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
  for (let first = 0; first + count <= samples.length; first += hop) {
    const part = Float64Array.from({ length: count }, (_, k) => sampleAt(samples, first + k));
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
  const mean = part.reduce((sum, value) => sum + value, 0) / part.length;
  if (!(mean > 0)) return new Float64Array(fft.bins);
  const { re, im } = fft.forward(levelled(part).map((value, k) => value * valueAt(weights, k)));
  return re.map((value, k) => {
    const size = Math.hypot(value, valueAt(im, k));
    return size > least ? (2 * size) / mean : 0;
  });
}

/** Without its mean, slope and bend: orthogonal polynomials of the second degree and below. */
function levelled(part: Float64Array): Float64Array {
  const count = part.length;
  // The mean of t² over the places, so that no term has a part of another.
  const bend = (1 - 1 / count ** 2) / 3;
  const place = (k: number): number => (2 * (k + 0.5)) / count - 1;
  const terms = [() => 1, (t: number) => t, (t: number) => t * t - bend];
  const sizes = terms.map((term) => {
    let [along, square] = [0, 0];
    for (let k = 0; k < count; k++) {
      const value = term(place(k));
      along += value * valueAt(part, k);
      square += value * value;
    }
    return along / square;
  });
  return part.map((value, k) =>
    terms.reduce((left, term, n) => left - (sizes[n] ?? 0) * term(place(k)), value),
  );
}
