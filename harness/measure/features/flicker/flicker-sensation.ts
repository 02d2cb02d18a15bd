import { valueAt } from '../../signal/samples.ts';
import { filter, type Section } from '../../signal/sections.ts';

/** Seconds at the record's beginning in which the filters settle; they do not count. */
const settling = 10;
/** Seconds of them over which the fluctuation is faded in, so that fast flicker starts without a jolt. */
const fadeIn = 4;

/**
 * Instantaneous flicker sensation of a fluctuation, not yet scaled: filters, squares and smooths. In steady flicker it
 * ripples at twice the flicker's frequency. The first 10 s (a quarter of a shorter record) are left out.
 *
 * @param fluctuation relative change of light (or of squared voltage) about its mean, sampled at `rate` Hz; overwritten
 */
export function flickerSensation(
  fluctuation: Float64Array,
  rate: number,
  weighting: readonly Section[],
  smoothing: readonly Section[],
): Float64Array {
  const lead = Math.round(Math.min(settling * rate, fluctuation.length / 4));
  const ramp = Math.round((lead * fadeIn) / settling);
  fade(fluctuation, ramp);
  filter(weighting, fluctuation);
  square(fluctuation);
  return filter(smoothing, fluctuation).subarray(lead);
}

function fade(fluctuation: Float64Array, ramp: number): void {
  for (let k = 0; k < ramp; k++) {
    fluctuation[k] = valueAt(fluctuation, k) * (0.5 - 0.5 * Math.cos((Math.PI * k) / ramp));
  }
}

function square(fluctuation: Float64Array): void {
  for (let k = 0; k < fluctuation.length; k++) {
    const value = valueAt(fluctuation, k);
    fluctuation[k] = value * value;
  }
}
