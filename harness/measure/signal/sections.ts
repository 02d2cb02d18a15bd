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
  for (let k = 0; k < sections.length; k += 2) {
    const [one = nothing, two = nothing] = sections.slice(k, k + 2);
    filterTwice(one, two, samples);
  }
  return samples;
}

const nothing: Section = { b0: 1, b1: 0, b2: 0, a1: 0, a2: 0 };

/** Two sections in one pass: a processor does the one's sums while it waits for the other's. */
function filterTwice(one: Section, two: Section, samples: Float64Array): void {
  const { b0, b1, b2, a1, a2 } = one;
  const { b0: c0, b1: c1, b2: c2, a1: d1, a2: d2 } = two;
  let [s1, s2, t1, t2] = [0, 0, 0, 0];
  for (let k = 0; k < samples.length; k++) {
    const x = samples[k]!;
    const y = b0 * x + s1;
    s1 = b1 * x - a1 * y + s2;
    s2 = b2 * x - a2 * y;
    const z = c0 * y + t1;
    t1 = c1 * y - d1 * z + t2;
    t2 = c2 * y - d2 * z;
    samples[k] = z;
  }
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
