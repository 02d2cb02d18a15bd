import type { Analysis } from '../../analysis/analysis.ts';
import { quietNoise } from '../../analysis/noise.ts';
import type { Waveform } from '../../waveform.ts';

/** How well the noise of rows, and so its correction, is known, relative. */
export const rowNoiseKnown = 0.2;

/**
 * Noise that rows are rid of, rms of one sample in the record's unit: the smaller of two estimates, since edges of pulses
 * pass for noise in the one, and their absence from a quiet stretch does not.
 */
export function rowNoise(waveform: Waveform, { noise }: Analysis): number {
  return Math.min(noise, quietNoise(waveform));
}
