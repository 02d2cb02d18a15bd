import type { RawCapture } from '../../harness/bench/ports.ts';
import { fillTemplate } from './fill-template.ts';
import { isSentinel, readNumber } from './numbers.ts';
import type { Proof } from './profile-schema.ts';
import type { ScpiSession, Talk } from './session.ts';

type Shown = Extract<Proof, { shown: unknown }>;

/** What is set for one record alone. */
export interface Nonce {
  /** Figure for `{nonce}`. */
  readonly figure?: number;
  /** Samples more than were asked for; they are not handed on. */
  readonly samples: number;
}

/** What was said of one input's record. */
export interface InputWords {
  readonly input: string;
  /** What the instrument calls it. */
  readonly token: string;
  /** Fields of the preamble. */
  readonly stated: ReadonlyMap<string, number>;
}

/** The proofs that a record is a new one, as the profile says that they are had; none where the profile says nothing. */
export class FreshProof {
  readonly #session: ScpiSession;
  readonly #proofs: readonly Proof[];
  readonly #nonce: Nonce;
  readonly #before = new Map<Proof, string>();
  #wasIncomplete = false;

  constructor(session: ScpiSession, proofs: readonly Proof[], nonce: Nonce) {
    this.#session = session;
    this.#proofs = proofs;
    this.#nonce = nonce;
  }

  /** The best that is proved, once all has been; undefined where that is a status or a length, which a stuck memory can have. */
  get kind(): RawCapture['proof'] {
    if (this.#proofs.some((proof) => 'shown' in proof)) return 'nonce';
    if (this.#proofs.some((proof) => 'counter' in proof)) return 'count';
    return this.#proofs.some((proof) => 'changes' in proof) ? 'time' : undefined;
  }

  /** A query for the status has to be asked right after arming. */
  get asksStatus(): boolean {
    return this.#proofs.some((proof) => 'status' in proof);
  }

  /** Just before arming. */
  async begin({ ask }: Talk): Promise<void> {
    for (const proof of this.#proofs) {
      const query = queryOf(proof);
      if (query !== null) this.#before.set(proof, await ask(query));
    }
  }

  /** An answer to whether the record is complete, after arming. */
  saw({ complete }: { readonly complete: boolean }): void {
    if (!complete) this.#wasIncomplete = true;
  }

  /** When the record is complete. Throws BenchError `stale` where it is not proved to be new. */
  async end({ ask }: Talk): Promise<void> {
    for (const proof of this.#proofs) {
      if ('status' in proof && !this.#wasIncomplete)
        throw this.#stale('it never said that the record was not complete after it was armed');
      const query = queryOf(proof);
      if (query !== null) this.#compare(proof, query, await ask(query));
    }
  }

  /** When an input's record is there. Throws BenchError `stale` where it does not carry what was set for it. */
  async showsNonce({ input, token, stated }: InputWords, { ask }: Talk): Promise<void> {
    const { figure } = this.#nonce;
    for (const proof of this.#proofs) {
      if (!('shown' in proof) || figure === undefined) continue;
      const { shown } = proof;
      const what = 'field' in shown ? shown.field : fillTemplate(shown.query, { input: token });
      const found =
        'field' in shown
          ? (stated.get(shown.field) ?? Number.NaN)
          : this.#number(await ask(what), what);
      const expected = figure * proof.times;
      if (Math.abs(found - expected) < closestOf(proof) / 2) continue;
      throw this.#stale(
        `"${what}" of input ${input} is ${found}; expected ${expected}, which was set for this record alone`,
      );
    }
  }

  #compare(proof: Proof, query: string, now: string): void {
    const before = this.#before.get(proof) ?? '';
    const told = `"${query}" was answered with "${before}" before and "${now}" after the record`;
    if ('changes' in proof) {
      if (now !== before && now !== '' && !isSentinel(now)) return;
      throw this.#stale(`${told}; expected another answer`);
    }
    if (!('counter' in proof)) return;
    const [from, to] = [this.#number(before, query), this.#number(now, query)];
    if (to - from === proof.by) return;
    throw this.#stale(`${told}; expected it to rise by ${proof.by}`);
  }

  #number(text: string, query: string): number {
    return readNumber(text, this.#session.name, `the answer to "${query}"`);
  }

  #stale(why: string): Error {
    return this.#session.error(
      'stale',
      `its record is not proved to be new: ${why}; nothing was judged by it. See that it is triggered, and that nobody else uses it`,
    );
  }
}

function queryOf(proof: Proof): string | null {
  if ('counter' in proof) return proof.counter;
  return 'changes' in proof ? proof.changes : null;
}

/** As shown, between the two figures that are closest to each other. */
function closestOf({ nonce, times }: Shown): number {
  const sorted = [...nonce].sort((a, b) => a - b);
  const steps = sorted.slice(1).map((figure, k) => figure - (sorted[k] ?? 0));
  return Math.min(...steps) * Math.abs(times);
}

/** What is set for the next record: another figure and number of samples than for the one before. `room`: samples that still fit. */
export function nextNonce(proofs: readonly Proof[], before: Nonce, room: number): Nonce {
  let next: Nonce = { samples: 0 };
  for (const proof of proofs) {
    if (!('nonce' in proof)) continue;
    if (proof.nonce === 'samples') {
      const most = Math.max(0, Math.min(proof.most, Math.floor(room)));
      const all = Array.from({ length: most + 1 }, (_, samples) => samples);
      next = { ...next, samples: anyBut(before.samples, all) };
    } else next = { ...next, figure: anyBut(before.figure, proof.nonce) };
  }
  return next;
}

function anyBut(before: number | undefined, figures: readonly number[]): number {
  const others = figures.filter((figure) => figure !== before);
  const chosen = others[Math.floor(Math.random() * others.length)];
  return chosen ?? figures[0] ?? 0;
}
