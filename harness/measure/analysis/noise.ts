import { sixthDifferenceNoise } from '../signal/noise-level.ts';
import { quietStretchNoise } from '../signal/quiet-noise.ts';
import type { Waveform } from '../waveform.ts';
import { isDisturbed } from './disturbed-waveform.ts';

/**
 * White noise of one sample in the record's unit, seen where the record is quietest: for weights and for what can be
 * resolved. Rounding counts among the noise.
 */
export function quietNoise(waveform: Waveform): number {
  if (isDisturbed(waveform)) {
    const { gain, noise } = waveform.error;
    return Math.hypot(quietNoise(waveform.recorded) * gain, noise?.standard ?? 0);
  }
  const { samples, step = 0 } = waveform;
  return quietStretchNoise(samples, step);
}

/**
 * White noise of one sample in the record's unit, told from sixth differences: cheaper than a spectrum. Noise that an error
 * adds is left out.
 */
export function recordedNoise(waveform: Waveform): number {
  if (!isDisturbed(waveform)) return sixthDifferenceNoise(waveform.samples);
  return sixthDifferenceNoise(waveform.recorded.samples) * Math.abs(waveform.error.gain);
}
