/** Results on their way to the store: lanes go on meanwhile, as long as these hold no more than so many bytes. */
export class StoreBacklog {
  readonly #most: number;
  readonly #stores = new Set<Promise<void>>();
  #bytes = 0;

  /** @param most bytes; at 0 every result is stored before its lane goes on. One result may be larger. */
  constructor(most: number) {
    this.#most = most;
  }

  /** Takes a result of so many bytes that is being stored; resolves when there is room for another one. */
  async add(storing: Promise<void>, bytes: number): Promise<void> {
    // Results without captures count as well: their lane must not run away from the store.
    const size = Math.max(bytes, this.#most / 64);
    const settled = storing
      .catch(() => {})
      .then(() => {
        this.#stores.delete(settled);
        this.#bytes -= size;
      });
    this.#stores.add(settled);
    this.#bytes += size;
    while (this.#stores.size > 0 && this.#bytes >= this.#most) await Promise.race(this.#stores);
  }

  /** Resolves when everything that was added is stored, or was refused. */
  async empty(): Promise<void> {
    await Promise.all(this.#stores);
  }
}
