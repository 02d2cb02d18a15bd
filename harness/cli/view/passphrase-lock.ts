/** Wrong passphrases in a row until nobody may try again for a while. A slip or two is nothing; five are guesses. */
const mostWrong = 5;
/** Answers to wrong ones come later and later, ms: the first pause, doubled each time. */
const firstPause = 500;
/** How long the lock holds, ms; each time it closes again, twice as long. */
const firstLock = 5 * 60_000;
const longestLock = 24 * 60 * 60_000;

/** What the lock needs of the world: a test brings its own clock. */
export interface LockClock {
  /** ms since any fixed instant; not turned back with the wall clock. */
  now(): number;
  pause(milliseconds: number): Promise<void>;
}

const realClock: LockClock = {
  now: () => performance.now(),
  pause: (milliseconds) => new Promise((go) => setTimeout(go, milliseconds)),
};

/**
 * Slows down whoever guesses a passphrase on a page, then shuts the form. It guards the key as it is used here only:
 * whoever has the key file can guess at leisure, which its cost of derivation slows.
 */
export class PassphraseLock {
  readonly #clock: LockClock;
  #wrong = 0;
  #locks = 0;
  #openFrom = Number.NEGATIVE_INFINITY;

  constructor(clock: LockClock = realClock) {
    this.#clock = clock;
  }

  /** Why no passphrase is taken now; null where one is. */
  closed(): string | null {
    const rest = this.#openFrom - this.#clock.now();
    if (rest <= 0) return null;
    const minutes = Math.ceil(rest / 60_000);
    const time = minutes === 1 ? 'a minute' : `${minutes} minutes`;
    return `${mostWrong} wrong passphrases in a row: no more are taken here for ${time}. Was it you? If not, tell whoever runs this server`;
  }

  /** To be awaited before a wrong one is answered. */
  async wrong(): Promise<void> {
    this.#wrong++;
    const pause = firstPause * 2 ** (this.#wrong - 1);
    if (this.#wrong >= mostWrong) {
      this.#openFrom = this.#clock.now() + Math.min(longestLock, firstLock * 2 ** this.#locks);
      this.#locks++;
      this.#wrong = 0;
    }
    await this.#clock.pause(pause);
  }

  right(): void {
    this.#wrong = 0;
    this.#locks = 0;
  }
}
