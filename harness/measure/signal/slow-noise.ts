import { deviates } from './deviates.ts';
import { valueAt } from './samples.ts';

/**
 * Adds noise of which the one-sided density falls as power / f (unit², f > 0) down to a quarter of the record's inverse length.
 *
 * Each octave is white noise drawn every 2^n samples with straight lines between. Noise of variance a² drawn at intervals d
 * has the density 2 a² d sinc^4(f d); over all octaves that comes to (2/3) a² / (f ln 2), within 1 % (computed).
 * Source: sum over octaves, textbook; the sum is checked by the spectrum in the tests.
 */
export function addSlowNoise(samples: Float64Array, power: number, seed: number): void {
  const amplitude = Math.sqrt(1.5 * Math.LN2 * power);
  for (let octave = 0, step = 1; step < 4 * samples.length; octave++, step *= 2)
    addOctave(samples, { amplitude, step, seed: seed ^ Math.imul(octave + 1, 0x9e3779b1) });
}

interface Octave {
  readonly amplitude: number;
  /** Samples from one deviate to the next. */
  readonly step: number;
  readonly seed: number;
}

function addOctave(samples: Float64Array, { amplitude, step, seed }: Octave): void {
  const drawn = deviates(Math.floor(samples.length / step) + 3, seed, 0);
  // Where the first interval begins is drawn too: otherwise its nodes would always be noisier than its middle.
  const begin = Math.floor(step * (((seed >>> 0) * 0.6180339887498949) % 1));
  let place = 0;
  let within = begin;
  let left = amplitude * valueAt(drawn, 0);
  let slope = (amplitude * valueAt(drawn, 1) - left) / step;
  for (let k = 0; k < samples.length; k++) {
    if (within === step) {
      within = 0;
      place++;
      left = amplitude * valueAt(drawn, place);
      slope = (amplitude * valueAt(drawn, place + 1) - left) / step;
    }
    samples[k] = valueAt(samples, k) + left + slope * within;
    within++;
  }
}
