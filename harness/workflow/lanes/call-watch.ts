/** Wall-clock time that firmware may stay inside one call before it counts as spinning, ms. */
export const longestCall = 1000;
/** From look to look, ms. A longer gap is one in which this process was stopped or starved: it counts as one look. */
export const lookEvery = 100;

/** What is seen at a look. */
export interface Look {
  /** Number of the call that firmware is in; null where it is in none. */
  readonly call: number | null;
  /** ms, of any clock that goes on. */
  readonly at: number;
  /** Processor time that this process has taken, ms. */
  readonly processor: number;
}

/**
 * Tells firmware that does not come back from a call from a machine that is stopped, or too busy to run it: the latter is
 * no fault of the lamp.
 */
export class CallWatch {
  #last: Look | null = null;
  #waited = 0;
  #worked = 0;

  /** True once firmware has been in one call for longer than it may, with a processor to run on. */
  spins(look: Look): boolean {
    const last = this.#last;
    this.#last = look;
    if (!last || look.call === null || look.call !== last.call) {
      this.#waited = 0;
      this.#worked = 0;
      return false;
    }
    this.#waited += Math.min(look.at - last.at, 2 * lookEvery);
    this.#worked += look.processor - last.processor;
    return this.#waited > longestCall && this.#worked > longestCall / 2;
  }
}
