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

/** Boxcars one after another. */
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

function thriceSmoothed(width: number): Float64Array {
  let kernel = Float64Array.of(1);
  for (let pass = 0; pass < passes; pass++) {
    const next = new Float64Array(kernel.length + width - 1);
    for (let k = 0; k < kernel.length; k++)
      for (let d = 0; d < width; d++)
        next[k + d] = valueAt(next, k + d) + valueAt(kernel, k) / width;
    kernel = next;
  }
  return kernel;
}
