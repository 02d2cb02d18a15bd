import { isSentinel, readNumber } from './numbers.ts';
import type { DigitiserProfile } from './profile-schema.ts';
import type { ScpiSession, Talk } from './session.ts';

type Fresh = NonNullable<DigitiserProfile['fresh']>;

/** The proof that a record is a new one, as the profile says that it is had; none where the profile says nothing. */
export class FreshProof {
  readonly #session: ScpiSession;
  readonly #fresh: Fresh | undefined;
  readonly #talk: Talk;
  #before = '';
  #wasIncomplete = false;

  constructor(session: ScpiSession, fresh: Fresh | undefined, talk: Talk) {
    this.#session = session;
    this.#fresh = fresh;
    this.#talk = talk;
  }

  /** Just before arming. */
  async begin(): Promise<void> {
    const query = queryOf(this.#fresh);
    if (query !== null) this.#before = await this.#talk.ask(query);
  }

  /** An answer to whether the record is complete, after arming. */
  saw({ complete }: { readonly complete: boolean }): void {
    if (!complete) this.#wasIncomplete = true;
  }

  /** When the record is complete. Throws BenchError `stale` where it is not proved to be new. */
  async end({ ask }: Talk): Promise<void> {
    const fresh = this.#fresh;
    if (!fresh) return;
    if ('status' in fresh) {
      if (this.#wasIncomplete) return;
      throw this.#stale('it never said that the record was not complete after it was armed');
    }
    const query = queryOf(fresh) ?? '';
    const now = await ask(query);
    const told = `"${query}" was answered with "${this.#before}" before and "${now}" after the record`;
    if ('changes' in fresh) {
      if (now !== this.#before && now !== '' && !isSentinel(now)) return;
      throw this.#stale(`${told}; expected another answer`);
    }
    const [from, to] = [this.#number(this.#before, query), this.#number(now, query)];
    if (to - from === fresh.by) return;
    throw this.#stale(`${told}; expected it to rise by ${fresh.by}`);
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

function queryOf(fresh: Fresh | undefined): string | null {
  if (!fresh || 'status' in fresh) return null;
  return 'counter' in fresh ? fresh.counter : fresh.changes;
}
