import type { Waveform } from '../waveform.ts';
import { quietNoise } from './noise.ts';

/**
 * The largest difference between two averages, in the record's unit, that rounding may hide: half a step of each where no noise
 * spreads it. Gaussian noise of s before the rounding leaves exp(-2 π² s²/step²) of that (first Fourier term of the error of
 * the mean: Widrow, Kollár and Liu, IEEE Trans. Instrum. Meas. 45(2), 1996, from memory). 0 without a stated step.
 */
export function hiddenByCodes(waveform: Waveform): number {
  const { step = 0 } = waveform;
  if (!(step > 0)) return 0;
  const before = Math.sqrt(Math.max(0, quietNoise(waveform) ** 2 - step ** 2 / 12));
  return step * Math.exp(-2 * (Math.PI * (before / step)) ** 2);
}
