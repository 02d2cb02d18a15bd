import { createHash } from 'node:crypto';
import type { DarkLook, RawCapture, TakenBefore } from '../../bench/ports.ts';
import { EarlierStretches } from './earlier-stretches.ts';

/** A record that changes no oftener than this may be the same twice: a pin, or an input without noise. */
const fewestChanges = 8;

/**
 * The records that a rig has handed over so far, to tell when one comes again. Noise makes every new record another one, so
 * that one which is the same code by code is the old one, or another input's.
 */
export class TakenRecords implements TakenBefore {
  readonly #seen = new Map<string, Set<string>>();
  readonly #stretches = new Map<string, EarlierStretches>();
  readonly #dark = new Map<string, DarkLook>();
  readonly #proved = new Set<string>();
  readonly #checked = new Set<string>();

  isRepeated(instrument: string, { codes }: RawCapture): boolean {
    if (!changesEnough(codes)) return false;
    const seen = this.#seen.get(instrument) ?? new Set<string>();
    this.#seen.set(instrument, seen);
    const bytes = new Uint8Array(codes.buffer, codes.byteOffset, codes.byteLength);
    const digest = createHash('sha256').update(bytes).digest('base64');
    if (seen.has(digest)) return true;
    seen.add(digest);
    return false;
  }

  earlierStretch(instrument: string, { codes }: RawCapture, unlikely: number): number | null {
    const earlier = this.#stretches.get(instrument) ?? new EarlierStretches();
    this.#stretches.set(instrument, earlier);
    return earlier.find(codes, unlikely);
  }

  darkOf(instrument: string): DarkLook | null {
    return this.#dark.get(instrument) ?? null;
  }

  noteDark(instrument: string, look: DarkLook): void {
    this.#dark.set(instrument, look);
  }

  isProved(instrument: string): boolean {
    return this.#proved.has(instrument);
  }

  noteProved(instrument: string): void {
    this.#proved.add(instrument);
  }

  isChecked(what: string): boolean {
    return this.#checked.has(what);
  }

  noteChecked(what: string): void {
    this.#checked.add(what);
  }

  /** The instruments were opened anew, perhaps after a restart: nothing is proved of what they have in their memories. */
  forgetProofs(): void {
    this.#dark.clear();
    this.#proved.clear();
    this.#checked.clear();
  }
}

function changesEnough(codes: RawCapture['codes']): boolean {
  let changes = 0;
  for (let k = 1; k < codes.length; k++)
    if (codes[k] !== codes[k - 1] && ++changes >= fewestChanges) return true;
  return false;
}
