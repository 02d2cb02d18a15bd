import { decimate } from '../signal/decimate.ts';
import { memoiseSamples } from '../signal/memoise.ts';
import type { Sampled } from '../signal/samples.ts';
import { disturbedSamples, isDisturbed } from './disturbed-waveform.ts';

/**
 * Every `factor`-th sample of a waveform behind an anti-alias filter that passes 0 … `pass` Hz; not to be written to.
 *
 * Errors are given to what is left: white noise of rms s keeps its density in the band that decimation leaves, which is
 * that of noise of rms s/√factor at the lower rate.
 */
export function decimated(waveform: Sampled, factor: number, pass: number): Float64Array {
  if (!isDisturbed(waveform)) {
    // Rounded, so that a clock that is off by a few parts in a million needs no other filter.
    const rate = Number(waveform.rate.toPrecision(3));
    return decimatedSamples(waveform.samples, rate, factor, pass);
  }
  const { gain, offset, noise } = waveform.error;
  return disturbedSamples(decimated(waveform.recorded, factor, pass), {
    gain,
    offset,
    ...(noise && { noise: { ...noise, standard: noise.standard / Math.sqrt(factor) } }),
  });
}

const decimatedSamples = memoiseSamples((samples, rate: number, factor: number, pass: number) =>
  decimate({ samples, rate }, factor, pass),
);
