import type { Output } from './output.ts';
import type { OperatingPoint } from './stage/fixed-off-time.ts';

/** One channel while its gate is on. */
export interface ChannelState {
  readonly output: Output;
  /** A, mean while on. */
  readonly current: number;
  readonly cycle: OperatingPoint | null;
  /** V across the LEDs. */
  readonly voltage: number;
}

/** A stretch of time in which temperature, rail and settings of the stages stay as they are: everything slow. */
export interface Epoch {
  /** s */
  readonly from: number;
  /** V; 0: without power. */
  readonly rail: number;
  /** V or V rms at the terminals. */
  readonly source: number;
  /** degrees Celsius of the LED board */
  readonly temperature: number;
  /** W drawn by the lamp. */
  readonly power: number;
  readonly channels: readonly ChannelState[];
}

/** Walks through the epochs of a lamp, forwards only. */
export class EpochWalk {
  /** The epoch in force. */
  present: Epoch;
  /** Instant at which the next one begins, s; infinite in the last one. */
  end: number;
  private readonly epochs: readonly Epoch[];
  private index: number;

  /** Starts in the epoch in force at `t`, or in the first one where `t` lies before it. */
  constructor(
    { epochs, present }: { readonly epochs: readonly Epoch[]; readonly present: Epoch },
    t: number,
  ) {
    this.epochs = epochs;
    this.index = epochAt(epochs, t);
    this.present = epochs[this.index] ?? present;
    this.end = this.endOf(this.index);
  }

  /** The epoch in force at `t`, which must not lie before the `t` of the last call. */
  at(t: number): Epoch {
    while (this.end <= t) this.advance();
    return this.present;
  }

  /** Goes on to the next epoch; stays in the last one. */
  advance(): void {
    const next = this.epochs[this.index + 1];
    if (!next) return;
    this.present = next;
    this.index++;
    this.end = this.endOf(this.index);
  }

  private endOf(index: number): number {
    return this.epochs[index + 1]?.from ?? Number.POSITIVE_INFINITY;
  }
}

/** Index of the epoch in force at `t`; the first one before all. */
function epochAt(epochs: readonly Epoch[], t: number): number {
  let low = 0;
  let high = epochs.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if ((epochs[middle]?.from ?? Number.POSITIVE_INFINITY) <= t) low = middle + 1;
    else high = middle;
  }
  return Math.max(0, low - 1);
}
