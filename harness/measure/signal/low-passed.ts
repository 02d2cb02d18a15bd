import { complexFft, smoothLength } from './complex-fft.ts';
import { realFft } from './real-fft.ts';
import { type Sampled, valueAt } from './samples.ts';

/** Points per period of the highest frequency kept: a peak between two of them is lost by less than 0.5 %. */
const pointsPerPeriod = 16;

/**
 * A record with every Fourier component above the cut-off taken out (transform, zero, transform back), drawn with at
 * least 16 points per period of the cut-off. A component exactly on the cut-off stays.
 *
 * @param length samples from the start to be taken, at best whole periods: the transform takes them as periodic
 * @param cutOff Hz
 */
export function lowPassed(
  { samples, rate }: Sampled,
  length: number,
  cutOff: number,
): Float64Array {
  const { re, im } = realFft(length).forward(Float64Array.from(samples.subarray(0, length)));
  const kept = Math.min(re.length - 1, Math.floor((cutOff * length) / rate + 1e-6));
  const points = pointsFor(Math.max(64, pointsPerPeriod * kept));
  const back = complexFft(points);
  // The real part of Σ 2 X_k exp(+2πi kn/points), by a forward transform of the conjugate.
  const real = new Float64Array(points);
  const imaginary = new Float64Array(points);
  real[0] = valueAt(re, 0) / length;
  for (let k = 1; k <= kept; k++) {
    real[k] = (2 * valueAt(re, k)) / length;
    imaginary[k] = (-2 * valueAt(im, k)) / length;
  }
  back.forward(real, imaginary);
  return real;
}

/** A fast length of at least `least`. */
function pointsFor(least: number): number {
  return smoothLength(Math.ceil(least * 1.25), 4);
}
