/** One after another: a conversation on one line must not be cut into by a second one. */
export class Turns {
  #last: Promise<unknown> = Promise.resolve();

  /** Settles when everybody who has asked for a turn by now has had it. */
  get over(): Promise<unknown> {
    return this.#last;
  }

  /** Waits for its turn, then works; a turn whose signal has aborted meanwhile is passed on. */
  take<T>(signal: AbortSignal, work: () => Promise<T>): Promise<T> {
    const turn = this.#last.then(() => {
      signal.throwIfAborted();
      return work();
    });
    this.#last = turn.catch(() => {});
    return turn;
  }
}
