import type { RawCapture } from '../../bench/ports.ts';
import type { NoisyCodes } from './noisy-codes.ts';

/** The same samples at two places. */
interface Repeated {
  readonly first: number;
  readonly second: number;
  readonly length: number;
}

/** Longer records are not looked through: it takes a fraction of a second a million samples. */
const longest = 8_000_000;
const base = 0x01000193;

/**
 * A stretch that comes again later in the record, longer than noise can make it by chance: every block of a record is looked
 * for at every later place, by a rolling hash (Karp and Rabin, IBM J. Res. Dev. 31(2), 1987).
 */
export function repeatedStretch(
  codes: RawCapture['codes'],
  { unlikely: size }: NoisyCodes,
): Repeated | null {
  if (codes.length > longest) return null;
  const blocks = new Map<number, number>();
  let leaving = 1;
  for (let k = 1; k < size; k++) leaving = Math.imul(leaving, base);
  let hash = 0;
  for (let k = 0; k < codes.length; k++) {
    if (k >= size) hash = (hash - Math.imul(codes[k - size] ?? 0, leaving)) | 0;
    hash = (Math.imul(hash, base) + (codes[k] ?? 0)) | 0;
    const second = k - size + 1;
    if (second < 0) continue;
    const first = blocks.get(hash);
    if (first !== undefined && first + size <= second && isSame(codes, first, second, size))
      return { first, second, length: sameFrom(codes, first, second) };
    if (second % size === 0 && first === undefined) blocks.set(hash, second);
  }
  return null;
}

function isSame(codes: RawCapture['codes'], first: number, second: number, size: number): boolean {
  for (let k = 0; k < size; k++) if (codes[first + k] !== codes[second + k]) return false;
  return true;
}

/** Samples that are alike from two places on, until the second stretch begins or the record ends. */
function sameFrom(codes: RawCapture['codes'], first: number, second: number): number {
  let length = 0;
  while (
    first + length < second &&
    second + length < codes.length &&
    codes[first + length] === codes[second + length]
  )
    length++;
  return length;
}
