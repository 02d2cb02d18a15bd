import { Random } from '../random.ts';

/**
 * White Gaussian noise, fast: one of 2^13 equally probable parts of the normal distribution is drawn for each sample
 * (xoshiro128++) and stands with its mean. Standard deviation 1; no value beyond 3.91 of them; fourth moment 2.999
 * (computed from the table). Values are uncorrelated as far as the generator is (period 2^128 - 1).
 */
const tableBits = 13;
let table: Float32Array | null = null;

export class NoiseSource {
  /** State of the generator. */
  private readonly state: Int32Array;
  private readonly table: Float32Array;

  constructor(seed: number, name: string) {
    const random = new Random(seed, name);
    this.state = Int32Array.from({ length: 4 }, () => random.bits() | 0);
    this.table = table ??= normalParts();
  }

  /** Fills the first `count` values of `out` with noise of unit standard deviation. */
  fill(out: Float32Array, count: number): void {
    const { state, table } = this;
    let [a = 0, b = 0, c = 0, d = 0] = state;
    for (let k = 0; k < count; k++) {
      const sum = (a + d) | 0;
      const bits = (((sum << 7) | (sum >>> 25)) + a) | 0;
      out[k] = table[bits >>> (32 - tableBits)] ?? 0;
      const shifted = b << 9;
      c ^= a;
      d ^= b;
      b ^= c;
      a ^= d;
      c ^= shifted;
      d = (d << 11) | (d >>> 21);
    }
    state.set([a, b, c, d]);
  }
}

/** Means of the parts of equal probability, from the density integrated in small steps, scaled to unit variance. */
function normalParts(): Float32Array {
  const parts = 2 ** tableBits;
  const step = 1 / 4096;
  const means = new Float64Array(parts);
  const weights = new Float64Array(parts);
  let below = 0;
  for (let x = -6 + step / 2; x < 0; x += step) {
    const mass = (Math.exp((-x * x) / 2) / Math.sqrt(2 * Math.PI)) * step;
    const part = Math.min(parts / 2 - 1, Math.floor((below + mass / 2) * parts));
    means[part] = (means[part] ?? 0) + x * mass;
    weights[part] = (weights[part] ?? 0) + mass;
    below += mass;
  }
  return scaledToUnit(means, weights);
}

function scaledToUnit(means: Float64Array, weights: Float64Array): Float32Array {
  const parts = means.length;
  const values = new Float32Array(parts);
  let last = 0;
  let square = 0;
  for (let part = 0; part < parts / 2; part++) {
    const weight = weights[part] ?? 0;
    // A part too narrow for a step of its own takes its neighbour's mean.
    last = weight > 0 ? (means[part] ?? 0) / weight : last;
    values[part] = last;
    values[parts - 1 - part] = -last;
    square += 2 * last * last;
  }
  const scale = Math.sqrt(parts / square);
  return values.map((value) => value * scale);
}
