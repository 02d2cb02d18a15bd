import { valueAt } from '../../signal/samples.ts';
import { filter, type Section } from '../../signal/sections.ts';

/** Seconds in which the filters settle. */
const settling = 10;
/** Seconds of them over which the fluctuation is faded in, so that fast flicker starts without a jolt. */
const fadeIn = 4;

/**
 * Instantaneous flicker sensation of a fluctuation, not yet scaled: filters, squares and smooths. In steady flicker it
 * ripples at twice the flicker's frequency. The first 10 s (a quarter of a shorter record), in which the filters settle, are
 * taken from a run through the record's beginning backwards, in which they have settled: no moment of the record is left out.
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
  const run = (part: Float64Array): Float64Array => {
    fade(part, Math.round((lead * fadeIn) / settling));
    filter(weighting, part);
    square(part);
    return filter(smoothing, part);
  };
  const backwards = run(fluctuation.slice(0, 2 * lead).reverse());
  const sensation = run(fluctuation);
  sensation.set(backwards.subarray(lead).reverse());
  return sensation;
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
