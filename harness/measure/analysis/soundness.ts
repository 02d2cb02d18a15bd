import type { Reason } from '../outcome.ts';
import { keptWith } from '../signal/memoise.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { type Change, originOf } from './disturbed-waveform.ts';

/**
 * Why the samples of a record cannot be trusted, or null: none at all, NaN or infinity, values on the end of the
 * converter's range, or (where `unsigned`) light or LED current below zero by more than the noise explains.
 */
export function fault(waveform: Waveform, unsigned: boolean): Reason | null {
  const { waveform: original, change } = originOf(waveform) ?? { waveform, change: unchanged };
  const { samples } = original;
  if (samples.length === 0) return 'empty';
  const { notFiniteAt, lowest, highest } = analysisOf(original).statistics;
  if (notFiniteAt >= 0) return 'not-finite';
  if (waveform.clipped > 0) return 'saturated';
  const level = (value: number): number => value * change.gain + change.offset;
  if (!unsigned || level(lowest) >= 0) return null;
  const { step = 0 } = waveform;
  const { lowestMean, differences } = keptWith(samples, 'depth', () => depthOf(samples));
  const largest = Math.max(Math.abs(level(lowest)), Math.abs(level(highest)));
  // Added noise hardly moves the mean of a block; it widens what is allowed.
  const noise = Math.hypot(differences * change.gain, change.noise?.standard ?? 0);
  const allowance =
    (deviations * noise) / Math.sqrt(Math.min(block, samples.length)) + step + offsetPart * largest;
  return level(lowestMean) < -allowance ? 'negative-light' : null;
}

const unchanged: Change = { gain: 1, offset: 0 };

/** Samples averaged before they are held against the noise: one sample alone may lie far out. */
const block = 64;
/** Blocks of pure noise that stay within this many standard deviations: all, in records of any length. */
const deviations = 7;
/** Part of the largest value that an uncertain dark offset may shift a dark record by. */
const offsetPart = 1e-3;

/**
 * The lowest mean of a block, and the rms of the differences between neighbours / sqrt(2): white noise (and more, where
 * there are pulses).
 */
function depthOf(samples: Waveform['samples']): { lowestMean: number; differences: number } {
  const size = Math.min(block, samples.length);
  let lowestMean = Infinity;
  for (let next = 0; next < samples.length; next += size) {
    // The last block overlaps the one before it, so that no sample is left out.
    const first = Math.min(next, samples.length - size);
    let sum = 0;
    for (let index = first; index < first + size; index++) sum += samples[index]!;
    lowestMean = Math.min(lowestMean, sum / size);
  }
  let square = 0;
  for (let index = 1; index < samples.length; index++) {
    square += (samples[index]! - samples[index - 1]!) ** 2;
  }
  const differences = samples.length > 1 ? Math.sqrt(square / (2 * (samples.length - 1))) : 0;
  return { lowestMean, differences };
}
