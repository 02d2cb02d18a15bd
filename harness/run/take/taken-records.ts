import { createHash } from 'node:crypto';
import type { RawCapture, TakenBefore } from '../../bench/ports.ts';

/** A record that changes no oftener than this may be the same twice: a pin, or an input without noise. */
const fewestChanges = 8;

/**
 * The records that a rig has handed over so far, to tell when one comes again. Noise makes every new record another one, so
 * that one which is the same code by code is the old one.
 */
export class TakenRecords implements TakenBefore {
  readonly #seen = new Map<string, Set<string>>();

  isRepeated(instrument: string, { input, codes }: RawCapture): boolean {
    if (!changesEnough(codes)) return false;
    const key = JSON.stringify([instrument, input]);
    const seen = this.#seen.get(key) ?? new Set<string>();
    this.#seen.set(key, seen);
    const bytes = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength);
    const digest = createHash('sha256').update(bytes).digest('base64');
    if (seen.has(digest)) return true;
    seen.add(digest);
    return false;
  }
}

function changesEnough(codes: RawCapture['codes']): boolean {
  let changes = 0;
  for (let k = 1; k < codes.length; k++)
    if (codes[k] !== codes[k - 1] && ++changes >= fewestChanges) return true;
  return false;
}
