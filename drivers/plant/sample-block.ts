/** Samples of a record that are worked on at once: sample k covers [t0 + k dt, t0 + (k + 1) dt). */
export interface SampleBlock {
  readonly samples: Float32Array;
  /** s */
  readonly t0: number;
  readonly dt: number;
}

/** Samples `from` to before `to` of a block, on the same memory. */
export function partOf({ samples, t0, dt }: SampleBlock, from: number, to: number): SampleBlock {
  return { samples: samples.subarray(from, to), t0: t0 + from * dt, dt };
}

/** Instant at which the last sample ends, s. */
export function endOf({ samples, t0, dt }: SampleBlock): number {
  return t0 + samples.length * dt;
}
