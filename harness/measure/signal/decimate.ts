import { type Sampled, sampleAt, valueAt } from './samples.ts';

/** Attenuation of what would fold into the kept band, dB. */
const attenuation = 90;

/**
 * Every `factor`-th sample of a record behind an anti-alias filter (Kaiser-windowed sinc, linear phase, delay removed):
 * the band 0 … `pass` Hz comes through within 1e-4, and nothing folds into it within 90 dB. Above `pass` the result is
 * not to be used. Beyond its ends the record counts as going on at its first and last value.
 * The sample k of the result stands for the instant of sample k·factor.
 *
 * Source: Kaiser, "Nonrecursive digital filter design using the I0-sinh window function", 1974.
 */
export function decimate({ samples, rate }: Sampled, factor: number, pass: number): Float64Array {
  if (factor <= 1) return Float64Array.from(samples);
  const taps = antiAlias(rate, rate / factor - pass, pass);
  const half = taps.length - 1;
  const result = new Float64Array(Math.ceil(samples.length / factor));
  const last = samples.length - 1;
  for (let out = 0; out < result.length; out++) {
    const centre = out * factor;
    let sum = valueAt(taps, 0) * sampleAt(samples, centre);
    if (centre >= half && centre + half <= last) {
      for (let t = 1; t <= half; t++)
        sum += taps[t]! * (samples[centre - t]! + samples[centre + t]!);
    } else {
      for (let t = 1; t <= half; t++) {
        sum +=
          valueAt(taps, t) *
          (sampleAt(samples, Math.max(0, centre - t)) +
            sampleAt(samples, Math.min(last, centre + t)));
      }
    }
    result[out] = sum;
  }
  return result;
}

/** One half of the symmetric filter, the middle tap first; all taps add up to 1. */
function antiAlias(rate: number, stop: number, pass: number): Float64Array {
  const transition = (2 * Math.PI * (stop - pass)) / rate;
  const half = Math.ceil((attenuation - 8) / (2.285 * transition) / 2);
  const corner = (stop + pass) / 2 / rate;
  const beta = 0.1102 * (attenuation - 8.7);
  const taps = new Float64Array(half + 1);
  let sum = 0;
  for (let t = 0; t <= half; t++) {
    const angle = 2 * Math.PI * corner * t;
    const sinc = t === 0 ? 2 * corner : Math.sin(angle) / (Math.PI * t);
    taps[t] = sinc * besselI0(beta * Math.sqrt(1 - (t / (half + 1)) ** 2));
    sum += t === 0 ? valueAt(taps, t) : 2 * valueAt(taps, t);
  }
  return taps.map((tap) => tap / sum);
}

function besselI0(x: number): number {
  let term = 1;
  let sum = 1;
  for (let k = 1; term > 1e-17 * sum; k++) {
    term *= (x / (2 * k)) ** 2;
    sum += term;
  }
  return sum;
}
