import { type Samples, valueAt } from './samples.ts';

/**
 * Means under a Hann window. A plain mean over a stretch that cuts a pulse train anywhere is wrong by up to one pulse;
 * tapered ends make the error fall with the third power of the number of pulses, so that the few pulses of a lamp at its
 * bottom level are enough.
 *
 * Source: window functions, textbook knowledge; the properties are computed in the tests.
 */

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

/** Samples after which the turning of the angle is set right again. */
const turns = 512;

/** Mean of all samples; NaN when there are none. The weights' cosine is turned on from sample to sample. */
export function hannMeanOfSamples(samples: Samples): number {
  const count = samples.length;
  if (count < 2) return samples[0] ?? Number.NaN;
  const step = (2 * Math.PI) / count;
  const cosStep = Math.cos(step);
  const sinStep = Math.sin(step);
  let plain = 0;
  let turned = 0;
  for (let first = 0; first < count; first += turns) {
    const last = Math.min(count, first + turns);
    let cos = Math.cos(step * (first + 0.5));
    let sin = Math.sin(step * (first + 0.5));
    for (let index = first; index < last; index++) {
      const value = samples[index]!;
      plain += value;
      turned += value * cos;
      const next = cos * cosStep - sin * sinStep;
      sin = sin * cosStep + cos * sinStep;
      cos = next;
    }
  }
  return (plain - turned) / count;
}

/** Mean of a function of time around `at`, s, under a window of `width`, s: by quadrature. */
export function hannMeanOfFunction(
  value: (at: number) => number,
  at: number,
  width: number,
): number {
  let sum = 0;
  for (let index = 0; index < nodes; index++) {
    sum += valueAt(quadrature, index) * value(at + ((index + 0.5) / nodes - 0.5) * width);
  }
  return sum;
}

const nodes = 32;
const quadrature = hannWeights(nodes);
