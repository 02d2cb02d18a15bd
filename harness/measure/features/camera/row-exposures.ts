import { sampleAt, valueAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';

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
  const sums = runningSums(samples);
  const whole = Math.floor(length + 1e-9);
  const part = Math.max(0, length - whole);
  if (part <= 1e-9) {
    const light = wholeRows(sums, samples.length - whole + 1, whole, length);
    return { light, startOf: (k) => k, perSample: 1 };
  }
  const light = partRows(samples, sums, samples.length - whole, whole, length);
  return { light, startOf: (k) => (k >> 1) + (k & 1 ? 1 - part : 0), perSample: 2 };
}

// One loop a function: several long loops in one are compiled anew for each of them.

function runningSums(samples: Waveform['samples']): Float64Array {
  const sums = new Float64Array(samples.length + 1);
  let sum = 0;
  for (let k = 0; k < samples.length; k++) sums[k + 1] = sum += samples[k]!;
  return sums;
}

function wholeRows(sums: Float64Array, count: number, whole: number, length: number): Float64Array {
  const light = new Float64Array(count);
  for (let k = 0; k < count; k++) light[k] = (sums[k + whole]! - sums[k]!) / length;
  return light;
}

/** Beginning on an edge: whole samples and a part of the next. Ending on an edge: a part of the one before. */
function partRows(
  samples: Waveform['samples'],
  sums: Float64Array,
  count: number,
  whole: number,
  length: number,
): Float64Array {
  const part = length - whole;
  const light = new Float64Array(2 * count);
  for (let k = 0; k < count; k++) {
    const inner = valueAt(sums, k + whole) - valueAt(sums, k);
    light[2 * k] = (inner + part * sampleAt(samples, k + whole)) / length;
    light[2 * k + 1] =
      (inner + part * sampleAt(samples, k) + sampleAt(samples, k + whole) - sampleAt(samples, k)) /
      length;
  }
  return light;
}
