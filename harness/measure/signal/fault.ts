import type { Reason } from '../outcome.ts';
import { analysisOf } from './analysis.ts';
import type { Waveform } from './waveform.ts';

/**
 * Why the samples of a record cannot be trusted, or null: none at all, NaN or infinity, values on the end of the
 * converter's range, or (where `unsigned`) light or LED current below zero by more than the noise explains.
 */
export function fault(waveform: Waveform, unsigned: boolean): Reason | null {
  const { samples, clipped, step = 0 } = waveform;
  if (samples.length === 0) return 'empty';
  const { notFiniteAt, lowest } = analysisOf(waveform).statistics;
  if (notFiniteAt >= 0) return 'not-finite';
  if (clipped > 0) return 'saturated';
  return unsigned && lowest < 0 && isNegative(samples, step) ? 'negative-light' : null;
}

/** Samples averaged before they are held against the noise: one sample alone may lie far out. */
const block = 64;
/** Blocks of pure noise that stay within this many standard deviations: all, in records of any length. */
const deviations = 7;
/** Part of the largest value that an uncertain dark offset may shift a dark record by. */
const offsetPart = 1e-3;

function isNegative(samples: Float32Array | Float64Array, step: number): boolean {
  const size = Math.min(block, samples.length);
  let largest = 0;
  for (const value of samples) largest = Math.max(largest, Math.abs(value));
  const noise = (deviations * differenceNoise(samples)) / Math.sqrt(size);
  const allowance = noise + step + offsetPart * largest;
  for (let next = 0; next < samples.length; next += size) {
    // The last block overlaps the one before it, so that no sample is left out.
    const first = Math.min(next, samples.length - size);
    let sum = 0;
    for (let index = first; index < first + size; index++) sum += samples[index]!;
    if (sum / size < -allowance) return true;
  }
  return false;
}

/** rms of the differences between neighbours / sqrt(2): white noise (and more, where there are pulses). */
function differenceNoise(samples: Float32Array | Float64Array): number {
  let sum = 0;
  for (let index = 1; index < samples.length; index++) {
    sum += (samples[index]! - samples[index - 1]!) ** 2;
  }
  return samples.length > 1 ? Math.sqrt(sum / (2 * (samples.length - 1))) : 0;
}
