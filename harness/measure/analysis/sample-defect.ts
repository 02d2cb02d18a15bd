import type { Reason } from '../outcome.ts';
import { memoiseSamples } from '../signal/memoise.ts';
import { sampleAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { isDisturbed } from './disturbed-waveform.ts';

/** What samples may be without a defect. */
export interface Allowed {
  /** Values below zero. */
  readonly negative: boolean;
  /** Values on the ends of the converter's range: a pin has two levels, and no more is asked of it. */
  readonly clipped: boolean;
}

/**
 * Why the samples of a record cannot be trusted, or null: none at all, NaN or infinity, values on the end of the
 * converter's range, or light or LED current below zero by more than the noise explains.
 */
export function sampleDefect(waveform: Waveform, allowed: Allowed): Reason | null {
  const recorded = isDisturbed(waveform) ? waveform.recorded : waveform;
  if (recorded.samples.length === 0) return 'empty';
  if (analysisOf(recorded).statistics.notFiniteAt >= 0) return 'not-finite';
  if (waveform.clipped > 0 && !allowed.clipped) return 'saturated';
  if (allowed.negative || recorded.drawn) return null;
  // An error that the budget gives to a sound record makes it no unsound one.
  return isNegative(recorded) ? 'negative-light' : null;
}

/** Samples averaged before they are held against the noise: one sample alone may lie far out. */
const block = 64;
/** Blocks of pure noise that stay within this many standard deviations: all, in records of any length. */
const deviations = 7;
/** Part of the largest value that an uncertain dark offset may shift a dark record by. */
const offsetPart = 1e-3;

function isNegative(recorded: Waveform): boolean {
  const { samples, step = 0 } = recorded;
  const { lowest, highest } = analysisOf(recorded).statistics;
  if (lowest >= 0) return false;
  const { lowestMean, differences } = depth(samples);
  const largest = Math.max(Math.abs(lowest), Math.abs(highest));
  const allowance =
    (deviations * differences) / Math.sqrt(Math.min(block, samples.length)) +
    step +
    offsetPart * largest;
  return lowestMean < -allowance;
}

/**
 * The lowest mean of a block, and the rms of the differences between neighbours / sqrt(2): white noise (and more, where
 * there are pulses).
 */
const depth = memoiseSamples((samples): { lowestMean: number; differences: number } => {
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
    square += (sampleAt(samples, index) - sampleAt(samples, index - 1)) ** 2;
  }
  const differences = samples.length > 1 ? Math.sqrt(square / (2 * (samples.length - 1))) : 0;
  return { lowestMean, differences };
});
