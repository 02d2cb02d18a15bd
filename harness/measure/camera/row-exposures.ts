import type { Waveform } from '../signal/waveform.ts';

/** Light collected by rows of a rolling shutter, one value per start of exposure, as the mean over the exposure. */
export interface RowExposures {
  /** Mean light over the exposure, in the record's unit. */
  readonly light: Float64Array;
  /** Start of exposure k, in samples from the record's start. */
  startOf(k: number): number;
  /** Starts per sample: 2 where the exposure is no whole number of samples, else 1. */
  readonly perSample: 1 | 2;
}

/**
 * Every exposure that begins or ends on the edge of a sample. Between those instants the collected light is a straight
 * line, as the light is constant within a sample; so the extremes over all phases are among these values, exactly.
 *
 * @param length exposure in samples, not a whole number in general; at most the record's length
 */
export function rowExposures(samples: Waveform['samples'], length: number): RowExposures {
  const sums = new Float64Array(samples.length + 1);
  for (let k = 0; k < samples.length; k++) sums[k + 1] = sums[k]! + samples[k]!;
  const whole = Math.floor(length + 1e-9);
  const part = Math.max(0, length - whole);
  const beginning = samples.length - whole + (part > 1e-9 ? 0 : 1);
  if (part <= 1e-9) {
    const light = new Float64Array(Math.max(0, beginning));
    for (let k = 0; k < light.length; k++) light[k] = (sums[k + whole]! - sums[k]!) / length;
    return { light, startOf: (k) => k, perSample: 1 };
  }
  // Beginning on an edge: whole samples and a part of the next. Ending on an edge: a part of the one before.
  const light = new Float64Array(Math.max(0, 2 * beginning));
  for (let k = 0; k < beginning; k++) {
    const inner = sums[k + whole]! - sums[k]!;
    light[2 * k] = (inner + part * samples[k + whole]!) / length;
    light[2 * k + 1] = (inner + part * samples[k]! + samples[k + whole]! - samples[k]!) / length;
  }
  return { light, startOf: (k) => (k >> 1) + (k & 1 ? 1 - part : 0), perSample: 2 };
}
