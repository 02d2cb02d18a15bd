/** What its cells are like. */
export interface MemoryTraits {
  /** s that a byte takes to be written; 0: none. */
  writeTime: number;
  /** Writes that a cell takes, from when the lamp was new; after them it keeps what it holds. */
  endurance: number;
  /** Writes that each cell has had already. */
  written: number;
}

interface Clock {
  now(): number;
  schedule(at: number, act: () => void): void;
}

/** What a cell holds whose write was cut short: it had been erased. */
const erased = 0xff;

/**
 * Memory that is kept without power, byte by byte behind a buffer: what is written is read back at once, and gets into its cell in its
 * turn. A write that still waits is replaced by a later one of the same address.
 */
export class NonVolatileMemory {
  /** What the firmware reads, and writes before it says so by `wrote`. */
  readonly seen: Uint8Array;
  private readonly cells: Uint8Array;
  private readonly traits: MemoryTraits;
  private readonly clock: Clock;
  private readonly onBusy: (busy: boolean) => void;
  private readonly wear: Uint32Array;
  /** Addresses that wait, the first of them being written. */
  private waiting: number[] = [];
  /** Counts what was given up, so that a write of before ends in nothing. */
  private turn = 0;

  /** `cells` is kept by whoever owns the lamp. */
  constructor(
    cells: Uint8Array,
    traits: MemoryTraits,
    clock: Clock,
    onBusy: (busy: boolean) => void,
  ) {
    this.cells = cells;
    this.traits = traits;
    this.clock = clock;
    this.onBusy = onBusy;
    this.wear = new Uint32Array(cells.length).fill(traits.written);
    this.seen = this.isIdeal ? cells : Uint8Array.from(cells);
  }

  /** Every write is there at once and for ever. */
  get isIdeal(): boolean {
    return this.traits.writeTime <= 0 && this.traits.endurance === Number.POSITIVE_INFINITY;
  }

  get busy(): boolean {
    return this.waiting.length > 0;
  }

  /** The firmware has written the byte at `address`; without one, whatever differs from its cell. */
  wrote(address?: number): void {
    if (this.isIdeal) return;
    const changed =
      address === undefined
        ? [...this.seen.keys()].filter((at) => this.seen[at] !== this.cells[at])
        : [address];
    const isAtRest = !this.busy;
    for (const at of changed) if (!this.waiting.includes(at, 1)) this.waiting.push(at);
    if (isAtRest && this.busy) this.begin();
  }

  /** The processor restarts: the byte under way gets into its cell, and what waited behind it is gone. */
  restart(): void {
    const [first] = this.waiting;
    this.waiting = first === undefined ? [] : [first];
    this.seen.set(this.cells);
  }

  /** The power is gone: the byte under way is lost, too. */
  cut(): void {
    const [first] = this.waiting;
    if (first !== undefined && this.traits.writeTime > 0) this.cells[first] = erased;
    this.waiting = [];
    this.turn++;
    if (first !== undefined) this.onBusy(false);
    this.seen.set(this.cells);
  }

  private begin(): void {
    this.onBusy(true);
    this.next();
  }

  private next(): void {
    const [address] = this.waiting;
    if (address === undefined) {
      this.onBusy(false);
      return;
    }
    const value = this.seen[address] ?? erased;
    const { turn } = this;
    this.clock.schedule(this.clock.now() + this.traits.writeTime, () => {
      if (turn !== this.turn) return;
      this.waiting.shift();
      this.store(address, value);
      this.next();
    });
  }

  private store(address: number, value: number): void {
    const wear = (this.wear[address] ?? 0) + 1;
    this.wear[address] = wear;
    if (wear <= this.traits.endurance) this.cells[address] = value;
    // Whoever reads it back sees a cell that keeps something else.
    if (!this.waiting.includes(address)) this.seen[address] = this.cells[address] ?? erased;
  }
}
