import { changedSamples, originOf } from '../../analysis/disturbed-waveform.ts';
import { decimate } from '../../signal/decimate.ts';
import { keptWith } from '../../signal/memoise.ts';
import type { Waveform } from '../../waveform.ts';
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

type Part = Pick<Waveform, 'samples' | 'rate'>;

/**
 * The record at the filters' rate. Errors are given to it there: white noise of rms s keeps its density in the band that
 * decimation leaves, which is that of noise of rms s/√factor at the lower rate.
 */
function slowly(waveform: Part, factor: number): Float64Array {
  const origin = originOf(waveform);
  if (!origin) {
    const { samples, rate } = waveform;
    return keptWith(samples, `decimated ${factor}`, () =>
      decimate({ samples, rate }, factor, band),
    );
  }
  const { gain, offset, noise } = origin.change;
  return changedSamples(slowly(origin.waveform, factor), {
    gain,
    offset,
    ...(noise && { noise: { ...noise, standard: noise.standard / Math.sqrt(factor) } }),
  });
}

/**
 * PstLM of a record of light (IEC TR 61547-1 Annex A): light / mean, high pass, low pass, weighting without lamp,
 * square, 0.3 s memory, quantiles. Output: pure number.
 *
 * Every step but the division by the mean is proportional, so what an error of gain or offset does is known.
 */
export function lightSeverity(waveform: Part, mean: number, scale: number): number {
  const origin = originOf(waveform);
  if (!origin || origin.change.noise) return severityOf(waveform, mean, scale);
  const { gain, offset } = origin.change;
  const original = (mean - offset) / gain;
  const { samples, rate } = origin.waveform;
  const severity = keptWith(samples, `severity ${rate} ${original} ${scale}`, () =>
    severityOf(origin.waveform, original, scale),
  );
  return (severity * Math.abs(gain * original)) / Math.abs(mean);
}

function severityOf(waveform: Part, mean: number, scale: number): number {
  const factor = Math.max(1, Math.floor(waveform.rate / filterRate));
  const slowRate = waveform.rate / factor;
  const fluctuation = relative(slowly(waveform, factor), mean);
  const weighting = [...flickerBand('230V', slowRate), ...lightWeighting(slowRate)];
  const sensation = flickerSensation(fluctuation, slowRate, weighting, flickerMemory(slowRate));
  const apart = Math.max(1, Math.floor(slowRate / valuesPerSecond));
  return shortTermSeverity(everyNth(sensation, apart, scale));
}

// One loop a function: several long loops in one are compiled anew for each of them.

function relative(light: Float64Array, mean: number): Float64Array {
  const fluctuation = new Float64Array(light.length);
  for (let k = 0; k < light.length; k++) fluctuation[k] = light[k]! / mean - 1;
  return fluctuation;
}

function everyNth(sensation: Float64Array, apart: number, scale: number): Float64Array {
  const some = new Float64Array(Math.ceil(sensation.length / apart));
  for (let k = 0; k < some.length; k++) some[k] = scale * Math.max(0, sensation[k * apart]!);
  return some;
}
