import type { RawCapture } from '../../bench/ports.ts';
import type { Wire } from '../../bench/rig.ts';

/** Averages over so long, s: longer than a cycle of most modulators. */
const block = 0.01;
const fewest = 4;

export interface LitBlocks {
  /** Greatest magnitude of an average, in the unit of the wire. */
  readonly most: number;
  readonly mean: number;
  /** Standard deviation of the averages. */
  readonly scatter: number;
}

/** How much a record in volts reads in averages of 10 ms, by its wire. */
export function litBlocks(
  { codes, scale, offset, rate }: RawCapture,
  wire: Pick<Wire, 'scale' | 'offset'>,
): LitBlocks {
  const size = Math.min(codes.length, Math.max(fewest, Math.round(block * rate)));
  let [most, sum, squares, count] = [0, 0, 0, 0];
  for (let from = 0; from + size <= codes.length; from += size) {
    let total = 0;
    for (let k = from; k < from + size; k++) total += codes[k] ?? 0;
    const value = ((total / size) * scale + offset - wire.offset) * wire.scale;
    most = Math.max(most, Math.abs(value));
    sum += value;
    squares += value * value;
    count++;
  }
  const mean = sum / Math.max(1, count);
  return { most, mean, scatter: Math.sqrt(Math.max(0, squares / Math.max(1, count) - mean ** 2)) };
}
