import { type Samples, sampleAt, valueAt } from './samples.ts';

/** A record's slow course at a few hundred points, Hann-weighted for a fit by least squares. */
export interface SlowCourse {
  /** Values times the root of their weights, in the record's unit. */
  readonly values: Float64Array;
  /** Roots of the weights. */
  readonly roots: Float64Array;
  /** Where the points lie, in samples. */
  readonly at: Float64Array;
  /** Part of a sine's amplitude that the means leave it. @param frequency periods a sample, above 0 */
  readonly passed: (frequency: number) => number;
}

/** Boxcars one after another, as `thriceSmoothed` has them. */
const passes = 3;
/** Fifty a period of the fastest slow sine. */
const points = 256;

/**
 * Means over overlapping stretches (three equal boxcars one after another): what lies near a multiple of the points' own
 * rate folds down by less than 1e-5.
 */
export function slowCourse(samples: Samples): SlowCourse {
  const apart = Math.max(1, Math.floor(samples.length / points));
  const kernel = thriceSmoothed(apart);
  const count = Math.max(0, Math.floor((samples.length - kernel.length) / apart) + 1);
  const values = new Float64Array(count);
  const roots = new Float64Array(count);
  const at = new Float64Array(count);
  for (let point = 0; point < count; point++) {
    const root = Math.sin((Math.PI * (point + 0.5)) / count);
    roots[point] = root;
    at[point] = point * apart + (kernel.length - 1) / 2;
    values[point] = root * weighted(samples, point * apart, kernel);
  }
  // A boxcar's response, discrete (textbook).
  const boxcar = (frequency: number) =>
    Math.sin(Math.PI * frequency * apart) / (apart * Math.sin(Math.PI * frequency));
  return { values, roots, at, passed: (frequency) => boxcar(frequency) ** passes };
}

function weighted(samples: Samples, first: number, kernel: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < kernel.length; k++) sum += valueAt(kernel, k) * sampleAt(samples, first + k);
  return sum;
}

/**
 * Three equal boxcars one after another: how many of the width³ ways have each sum (of three numbers 0 … width - 1), as a part of all;
 * whole numbers of quadratic course, by thirds.
 */
function thriceSmoothed(width: number): Float64Array {
  const kernel = new Float64Array(3 * width - 2);
  const all = width ** 3;
  for (let k = 0; k < kernel.length; k++) {
    const from = (start: number): number =>
      k < start ? 0 : ((k - start + 1) * (k - start + 2)) / 2;
    kernel[k] = (from(0) - 3 * from(width) + 3 * from(2 * width)) / all;
  }
  return kernel;
}
