/** One at a time, in the order of asking: no second conversation may cut into one on the same line. */
export class Mutex {
  #last: Promise<unknown> = Promise.resolve();

  /** Settles when everybody who has asked for it by now has released it. */
  get released(): Promise<unknown> {
    return this.#last;
  }

  /** Waits until it is free, then works; whoever has been cancelled by then does not. */
  run<T>(signal: AbortSignal, work: () => Promise<T>): Promise<T> {
    const running = this.#last.then(() => {
      signal.throwIfAborted();
      return work();
    });
    this.#last = running.catch(() => {});
    return running;
  }
}
