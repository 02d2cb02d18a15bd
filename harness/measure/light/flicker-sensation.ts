import { filter, type Section } from '../signal/sections.ts';

/** Seconds of the record's beginning that are run backwards first, so that the filters have settled when it starts. */
const settling = 30;

/**
 * Instantaneous flicker sensation of a fluctuation, not yet scaled: filters, squares and smooths. In steady flicker it
 * ripples at twice the flicker's frequency.
 *
 * @param fluctuation relative change of light (or of squared voltage) about its mean, sampled at `rate` Hz
 */
export function flickerSensation(
  fluctuation: Float64Array,
  rate: number,
  weighting: readonly Section[],
  smoothing: readonly Section[],
): Float64Array {
  const lead = Math.min(fluctuation.length, Math.round(settling * rate));
  const signal = new Float64Array(lead + fluctuation.length);
  for (let k = 0; k < lead; k++) signal[k] = fluctuation[lead - 1 - k]!;
  signal.set(fluctuation, lead);
  filter(weighting, signal);
  for (let k = 0; k < signal.length; k++) signal[k]! *= signal[k]!;
  return filter(smoothing, signal).subarray(lead);
}
