/**
 * Tells another thread whether this one is inside the firmware. Word 0: 1 while firmware is being called; word 1: how
 * many calls there were. The owner of the thread ends it when word 0 stays 1 and word 1 stands still for a second.
 */
export class Heartbeat {
  readonly #words: Int32Array;

  /** `shared` holds 8 bytes; without it nobody watches. */
  constructor(shared?: SharedArrayBuffer) {
    this.#words = new Int32Array(shared ?? new ArrayBuffer(8));
  }

  /** Calls into the firmware. */
  around<T>(call: () => T): T {
    const words = this.#words;
    Atomics.add(words, 1, 1);
    Atomics.store(words, 0, 1);
    try {
      return call();
    } finally {
      Atomics.store(words, 0, 0);
    }
  }
}
