/**
 * A stream of independent standard normal deviates that depends on its seed alone.
 *
 * Input: a seed, any integer. Output: a function; each call gives the next deviate (mean 0, standard deviation 1).
 * Source: xorshift with 128 bits of state (G. Marsaglia, Journal of Statistical Software 8(14), 2003; from memory) and
 * the polar method for the normal distribution (Marsaglia & Bray, SIAM Review 6, 1964; from memory).
 */
export function seededNoise(seed: number): () => number {
  const uniform = xorshift128(seed);
  let spare = Number.NaN;
  return () => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const a = 2 * uniform() - 1;
      const b = 2 * uniform() - 1;
      const square = a * a + b * b;
      if (square >= 1 || square === 0) continue;
      const factor = Math.sqrt((-2 * Math.log(square)) / square);
      spare = b * factor;
      return a * factor;
    }
  };
}

/** Uniform in [0, 1) with 32 bits. */
function xorshift128(seed: number): () => number {
  let [x, y, z, w] = [scramble(seed, 1), scramble(seed, 2), scramble(seed, 3), scramble(seed, 4)];
  return () => {
    const t = x ^ (x << 11);
    x = y;
    y = z;
    z = w;
    w = w ^ (w >>> 19) ^ (t ^ (t >>> 8));
    return (w >>> 0) / 2 ** 32;
  };
}

/** Spreads neighbouring seeds over the whole state (multiply and shift, so that no state is all zero in practice). */
function scramble(seed: number, lane: number): number {
  let h = (seed ^ Math.imul(lane, 0x9e3779b1)) | 0;
  for (let round = 0; round < 3; round++) {
    h = Math.imul(h ^ (h >>> 16), 0x45d9f3b);
    h = (h + lane) | 0;
  }
  return h ^ (h >>> 16) || lane;
}

/** Seed made of figures: the same figures give the same seed, the least change another one. */
export function seedOfFigures(figures: Iterable<number>): number {
  const cell = new Float64Array(1);
  const words = new Uint32Array(cell.buffer);
  let seed = 0x2545f491;
  for (const figure of figures) {
    cell[0] = figure;
    for (const word of words) {
      seed = Math.imul(seed ^ word, 0x85ebca6b);
      seed ^= seed >>> 15;
    }
  }
  return seed | 0;
}
