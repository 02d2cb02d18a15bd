import type { Analysis } from '../../analysis/analysis.ts';
import { lengthOf } from '../../analysis/waveform-part.ts';
import { largestOfNormals } from '../../signal/largest-of-normals.ts';
import type { Waveform } from '../../waveform.ts';

/**
 * The largest amplitude, in the record's unit, that rounding may take from a component (or give to it) at any frequency
 * without a trace among the noise.
 *
 * An error within half a step either way has no Fourier component above 2/π of a step (that of a square wave; textbook).
 * Gaussian noise of s before the rounding spreads it: of the mean error (step/π) Σ (-1)^n/n exp(-2 π² n² s²/step²)
 * sin(2π n x/step) the first term is what is left (Widrow, Kollár and Liu, IEEE Trans. Instrum. Meas. 45(2), 1996, from
 * memory), so that half a step of noise leaves 0.7 % of it.
 *
 * Without a stated step the samples' own number format rounds.
 */
export function blindCode(waveform: Waveform, { noise, statistics }: Analysis): number {
  const step = Math.max(waveform.step ?? 0, formatStep(waveform, statistics.highest));
  const spread = ditherOf(noise, step, statistics.highest - statistics.lowest, lengthOf(waveform));
  return (2 / Math.PI) * step * Math.exp(-2 * (Math.PI * (spread / step)) ** 2);
}

/** Noise before the rounding, rms: without what the rounding itself adds, and no more than the range leaves room for. */
function ditherOf(noise: number, step: number, range: number, length: number): number {
  const before = Math.sqrt(Math.max(0, noise * noise - (step * step) / 12));
  return Math.min(before, (range + step) / (2 * largestOfNormals(length)));
}

/** Distance between neighbouring numbers of the samples' format at a value. */
function formatStep({ samples }: Waveform, value: number): number {
  const bits = samples.BYTES_PER_ELEMENT === 4 ? 23 : 52;
  return Math.max(Math.abs(value), Number.MIN_VALUE) * 2 ** -bits;
}
