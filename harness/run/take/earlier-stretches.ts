import type { RawCapture } from '../../bench/ports.ts';

/** Longer records are not looked through: it takes a fraction of a second a million samples. */
const longest = 8_000_000;
/** Of so many records before the stretches are remembered. */
const remembered = 24;
const bases = [0x01000193, 0x5bd1e995] as const;

/**
 * Stretches of earlier records, to find them again in a later one, at whatever place and with whatever constant added: noise never
 * makes the same differences from sample to sample twice. Blocks are told by a rolling hash of 52 bits (Karp and Rabin, IBM J. Res.
 * Dev. 31(2), 1987), so that a hundred thousand of them meet a million places by chance once in 50,000 records.
 */
export class EarlierStretches {
  /** By block size: the number of the last record that each block stood in. */
  readonly #blocks = new Map<number, Map<number, number>>();
  readonly #records: { readonly size: number; readonly blocks: readonly number[] }[] = [];
  /** Of records so far. */
  #count = 0;

  /**
   * Index of the first stretch of the codes that stood in an earlier record, null where there is none; remembers these codes.
   * `unlikely`: so many samples noise does not leave alike.
   */
  find(codes: RawCapture['codes'], unlikely: number): number | null {
    const size = 2 ** Math.ceil(Math.log2(unlikely + 1));
    if (codes.length > longest || codes.length <= size) return null;
    const known = this.#blocks.get(size) ?? new Map<number, number>();
    this.#blocks.set(size, known);
    const blocks: number[] = [];
    let found: number | null = null;
    eachBlock(codes, size, (at, hash) => {
      if (at % size === 0) blocks.push(hash);
      if (found === null && known.has(hash)) found = at;
    });
    const number = this.#count++;
    for (const block of blocks) known.set(block, number);
    this.#records.push({ size, blocks });
    if (this.#records.length > remembered) this.#forget(number - remembered);
    return found;
  }

  #forget(number: number): void {
    const oldest = this.#records.shift();
    const known = this.#blocks.get(oldest?.size ?? 0);
    for (const block of oldest?.blocks ?? []) if (known?.get(block) === number) known.delete(block);
  }
}

/** Calls back with each place and the hash of the `size` differences from there on. */
function eachBlock(
  codes: RawCapture['codes'],
  size: number,
  visit: (at: number, hash: number) => void,
): void {
  const leaving = bases.map((base) => power(base, size - 1));
  const hashes = [0, 0];
  const difference = (k: number): number => (codes[k + 1] ?? 0) - (codes[k] ?? 0);
  for (let k = 0; k + 1 < codes.length; k++) {
    const entering = difference(k);
    const gone = k >= size ? difference(k - size) : 0;
    for (let which = 0; which < 2; which++) {
      const rest = ((hashes[which] ?? 0) - Math.imul(gone, leaving[which] ?? 0)) | 0;
      hashes[which] = (Math.imul(rest, bases[which] ?? 0) + entering) | 0;
    }
    if (k + 1 >= size)
      visit(k + 1 - size, ((hashes[0] ?? 0) >>> 0) * 2 ** 20 + ((hashes[1] ?? 0) >>> 12));
  }
}

function power(base: number, exponent: number): number {
  let product = 1;
  for (let k = 0; k < exponent; k++) product = Math.imul(product, base);
  return product;
}
