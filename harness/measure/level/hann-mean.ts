import type { Waveform } from '../signal/waveform.ts';

/**
 * Means of a waveform weighted by a Hann window. A plain mean over a stretch that cuts a pulse train anywhere is
 * wrong by up to one pulse; tapered ends make the error fall with the third power of the number of pulses, so that
 * the few pulses of a lamp at its bottom level are enough.
 * Inputs: waveform in any unit; centre, width, step in s. Output in the waveform's unit.
 * Source: window functions, textbook knowledge; the properties are computed in the tests.
 */
export interface HannTrack {
  /** Middle of each window, s. */
  readonly times: readonly number[];
  readonly values: readonly number[];
  /** Width of the window, s, after rounding to whole samples. */
  readonly width: number;
}

/** White noise of one sample times this / sqrt(samples in the window) is the noise of the mean. */
export const hannNoise = Math.sqrt(1.5);

/** Weights of `count` samples, sum 1. A window of one sample is that sample. */
export function hannWeights(count: number): Float64Array {
  const weights = new Float64Array(count);
  for (let index = 0; index < count; index++) {
    weights[index] = (1 - Math.cos((2 * Math.PI * (index + 0.5)) / count)) / count;
  }
  if (count === 1) weights[0] = 1;
  return weights;
}

/** Hann-weighted mean over the whole of a (windowed) waveform; NaN when it is empty. */
export function hannMean({ samples }: Waveform): number {
  const weights = hannWeights(samples.length);
  let sum = samples.length === 0 ? Number.NaN : 0;
  for (let index = 0; index < samples.length; index++) sum += weights[index]! * samples[index]!;
  return sum;
}

/** A mean every `step` seconds, each over `width`, all windows inside the waveform and [from, to]. */
export function hannTrack(
  { samples, rate, start }: Waveform,
  { from, to }: { readonly from: number; readonly to: number },
  width: number,
  step: number,
): HannTrack {
  const count = Math.max(1, Math.round(width * rate));
  const stride = Math.max(1, Math.round(step * rate));
  const weights = hannWeights(count);
  const first = Math.max(0, Math.ceil((from - start) * rate - 1e-6));
  const last = Math.min(samples.length, Math.floor((to - start) * rate + 1e-6)) - count;
  const times: number[] = [];
  const values: number[] = [];
  for (let begin = first; begin <= last; begin += stride) {
    let sum = 0;
    for (let index = 0; index < count; index++) sum += weights[index]! * samples[begin + index]!;
    times.push(start + (begin + count / 2) / rate);
    values.push(sum);
  }
  return { times, values, width: count / rate };
}

/** The model's mean under the same window: a function of time averaged around `at` (s), by quadrature. */
export function hannModel(model: (at: number) => number, at: number, width: number): number {
  let sum = 0;
  for (let index = 0; index < nodes; index++) {
    sum += quadrature[index]! * model(at + ((index + 0.5) / nodes - 0.5) * width);
  }
  return sum;
}

const nodes = 32;
const quadrature = hannWeights(nodes);
