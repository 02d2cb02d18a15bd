import { lruCache } from './lru-cache.ts';
import { normalQuantile } from './normal-quantile.ts';
import { valueAt } from './samples.ts';

/**
 * Standard normal deviates that can be had in any order: the one of an index depends on seed and index alone, so a
 * part of a record gets the same noise as it has within the whole.
 *
 * A 32-bit hash of seed and index gives two cells of 1/65536 each; a cell's deviate is the quantile of its middle, in
 * the two outermost cells of a place drawn within them. Source: inverse distribution method, textbook; hash by
 * multiplication and shifts, its evenness tested.
 */
export function addDeviates(
  samples: Float64Array,
  standard: number,
  seed: number,
  first: number,
): void {
  const factor = scatter(seed) | 1;
  const middles = middlesOfCells();
  let word = 0;
  for (let k = 0; k < samples.length; k++) {
    const index = first + k;
    if (k === 0 || (index & 1) === 0) word = scatter(Math.imul(index >>> 1, factor) ^ seed);
    const cell = index & 1 ? word >>> 16 : word & 0xffff;
    const deviate =
      cell === 0 || cell === last ? outermost(cell, word, index) : valueAt(middles, cell);
    samples[k] = valueAt(samples, k) + standard * deviate;
  }
}

/** So many deviates from index `first` on. */
export function deviates(count: number, seed: number, first: number): Float64Array {
  const drawn = new Float64Array(count);
  addDeviates(drawn, 1, seed, first);
  return drawn;
}

const cells = 0x10000;
const last = cells - 1;
/** Made when first asked for: commands that measure nothing do without. */
const middlesOfCells = lruCache(1, () => {
  const middles = new Float64Array(cells);
  for (let cell = 0; cell < cells; cell++) middles[cell] = normalQuantile((cell + 0.5) / cells);
  return middles;
});

function outermost(cell: number, word: number, index: number): number {
  const within = ((scatter(word ^ index) >>> 0) + 0.5) / 2 ** 32;
  return normalQuantile((cell + within) / cells);
}

/** Every bit of the input reaches every bit of the output. */
function scatter(value: number): number {
  let h = Math.imul(value ^ (value >>> 16), 0x45d9f3b);
  h = Math.imul(h ^ (h >>> 15), 0x2c1b3c6d);
  h = Math.imul(h ^ (h >>> 12), 0x297a2d39);
  return h ^ (h >>> 15);
}
