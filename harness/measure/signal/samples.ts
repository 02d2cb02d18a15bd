/** Values at a steady rate, in order of time. */
export type Samples = Float32Array | Float64Array;

export interface Sampled {
  readonly samples: Samples;
  /** Samples a second. */
  readonly rate: number;
}

export interface Timed extends Sampled {
  /** Instant at which the first sample begins, s. */
  readonly start: number;
}

// Loops over samples run within the bounds of what they read, which the compiler cannot see. These three vouch for it: what
// they are asked for lies between 0 and length - 1. One kind of array each, so that none slows the others down.

export function sampleAt(samples: Samples, index: number): number {
  return samples[index]!;
}

export function valueAt(values: Float64Array, index: number): number {
  return values[index]!;
}

export function indexAt(indices: Int32Array, index: number): number {
  return indices[index]!;
}
