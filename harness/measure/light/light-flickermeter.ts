import { decimate } from '../signal/decimate.ts';
import type { Waveform } from '../signal/waveform.ts';
import { flickerSensation } from './flicker-sensation.ts';
import { flickerBand, flickerMemory, lightWeighting } from './flickermeter-blocks.ts';
import { shortTermSeverity } from './short-term-severity.ts';

/**
 * Scale of the sensation, on the squared fluctuation relative to the mean.
 * `derived`: an incandescent lamp at 0.25 % sinusoidal voltage change, 8.8 Hz, gives a largest sensation of 1, as the
 * voltage flickermeter does (computed). `remembered`: the constant remembered of IEC TR 61547-1 (from memory); it makes
 * Pst 5.7 % lower. Which one the standard prints is open.
 */
export const sensationScale = { derived: 1.23835e6, remembered: 1.1016e6 } as const;

/** The filters run at 2 kHz or a little above: fast enough for the bilinear transform, slow enough for long records. */
const filterRate = 2000;
/** Light above this does not reach the sensation, Hz; the useful band is 0.3 Hz to 90 Hz. */
const band = 100;
/** The sensation moves in 0.3 s: so many values a second tell its quantiles. */
const valuesPerSecond = 250;

/**
 * PstLM of a record of light (IEC TR 61547-1 Annex A): light / mean, high pass, low pass, weighting without lamp,
 * square, 0.3 s memory, quantiles. Output: pure number.
 */
export function lightSeverity(
  { samples, rate }: Pick<Waveform, 'samples' | 'rate'>,
  mean: number,
  scale: number,
): number {
  const factor = Math.max(1, Math.floor(rate / filterRate));
  const slowRate = rate / factor;
  const fluctuation = decimate({ samples, rate }, factor, band);
  for (let k = 0; k < fluctuation.length; k++) fluctuation[k] = fluctuation[k]! / mean - 1;
  const weighting = [...flickerBand('230V', slowRate), ...lightWeighting(slowRate)];
  const sensation = flickerSensation(fluctuation, slowRate, weighting, flickerMemory(slowRate));
  const apart = Math.max(1, Math.floor(slowRate / valuesPerSecond));
  const some = new Float64Array(Math.ceil(sensation.length / apart));
  for (let k = 0; k < some.length; k++) some[k] = scale * Math.max(0, sensation[k * apart]!);
  return shortTermSeverity(some);
}
