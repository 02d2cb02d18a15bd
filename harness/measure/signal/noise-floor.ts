import type { PowerSpectrum } from './power-spectrum.ts';
import { quickselect } from './quickselect.ts';
import { valueAt } from './samples.ts';

/** What of a spectrum is no line. */
export interface NoiseFloor {
  /** Power per bin of the noise around each bin, one value per block of bins. */
  readonly levels: Float64Array;
  /** Where the blocks end (exclusive), in bins. */
  readonly ends: Int32Array;
  /** rms of the noise of one sample, in the record's unit. */
  readonly rms: number;
}

/** The quantile that is taken for the floor: low, for lines may fill most of a coarse spectrum's bins. */
const quantile = 0.2;
const quantileZ = -0.8416;
const narrowestBlock = 128;

/**
 * The noise floor of a spectrum in blocks an octave wide (at least 128 bins): the 20 % quantile of a block's bins,
 * divided by the 20 % quantile of averaged noise of mean 1 (chi-square, Wilson and Hilferty 1931).
 * An estimate from above where lines fill more than four fifths of a block.
 */
export function noiseFloor({ power, segments }: PowerSpectrum): NoiseFloor {
  const expected = (1 - 1 / (9 * segments) + quantileZ / (3 * Math.sqrt(segments))) ** 3;
  const levels: number[] = [];
  const ends: number[] = [];
  let total = 0;
  for (let from = 1; from < power.length; ) {
    const wide = Math.max(narrowestBlock, from);
    const to = power.length - from - wide < narrowestBlock ? power.length : from + wide;
    const level = lowQuantile(power.subarray(from, to)) / expected;
    levels.push(level);
    ends.push(to);
    total += level * (to - from);
    from = to;
  }
  // Noise of variance s² gives 4 s²/length in each of the length/2 bins.
  return {
    levels: Float64Array.from(levels),
    ends: Int32Array.from(ends),
    rms: Math.sqrt(total / 2),
  };
}

/** Sorting more bins than this sharpens the quantile no further. */
const enough = 16384;

function lowQuantile(bins: Float64Array): number {
  // An odd number of bins apart, so that evenly spaced lines are not always met or always missed.
  const apart = Math.max(1, Math.floor(bins.length / enough)) | 1;
  const some = new Float64Array(Math.ceil(bins.length / apart));
  for (let k = 0; k < some.length; k++) some[k] = valueAt(bins, k * apart);
  return quickselect(some, Math.floor(quantile * some.length));
}
