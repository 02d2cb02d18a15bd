/** One second-order section: y[n] = b0 x[n] + b1 x[n-1] + b2 x[n-2] - a1 y[n-1] - a2 y[n-2]. */
export interface Section {
  readonly b0: number;
  readonly b1: number;
  readonly b2: number;
  readonly a1: number;
  readonly a2: number;
}

/** Filters in place, section after section (transposed direct form II, at rest before the first sample). */
export function filter(sections: readonly Section[], samples: Float64Array): Float64Array {
  for (const { b0, b1, b2, a1, a2 } of sections) {
    let s1 = 0;
    let s2 = 0;
    for (let k = 0; k < samples.length; k++) {
      const x = samples[k]!;
      const y = b0 * x + s1;
      s1 = b1 * x - a1 * y + s2;
      s2 = b2 * x - a2 * y;
      samples[k] = y;
    }
  }
  return samples;
}

/** Magnitude of the cascade's response at a frequency, Hz. */
export function magnitude(sections: readonly Section[], frequency: number, rate: number): number {
  const angle = (2 * Math.PI * frequency) / rate;
  const c1 = Math.cos(angle);
  const s1 = Math.sin(angle);
  const c2 = Math.cos(2 * angle);
  const s2 = Math.sin(2 * angle);
  let product = 1;
  for (const { b0, b1, b2, a1, a2 } of sections) {
    const above = Math.hypot(b0 + b1 * c1 + b2 * c2, b1 * s1 + b2 * s2);
    product *= above / Math.hypot(1 + a1 * c1 + a2 * c2, a1 * s1 + a2 * s2);
  }
  return product;
}
