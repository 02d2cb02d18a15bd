import { discharges, type Lowered } from './still-delivers.ts';
import type { Span } from './switch-watch.ts';

/** What the output was told last. */
export interface PowerState {
  readonly volts: number;
  readonly on: boolean;
}

export interface PowerChange {
  /** The instrument was told. */
  readonly from: number;
  /** It had confirmed; infinite until then. */
  to: number;
  readonly before: PowerState;
  readonly after: PowerState;
}

/** Until a voltage that rises has settled, s (common practice, no source). */
const rises = 0.5;

/** What an output may be at, over some time. */
export interface Expected {
  readonly on: boolean;
  /** Between these, V, while the output is on. */
  readonly least: number;
  readonly most: number;
  /** A change by the stimulus may still be felt: it may draw a surge or pass through the current limit. */
  readonly settling: boolean;
  /** It was told to give less, or nothing, some time ago; null where the last change was none of that. */
  readonly lowered: Lowered | null;
}

/** What the supply was told in the course of a condition, s on its time line. */
export class PowerStory {
  readonly #changes: PowerChange[] = [];
  #present: PowerState;

  constructor(begin: PowerState) {
    this.#present = begin;
  }

  /** What it was told last. */
  get present(): PowerState {
    return this.#present;
  }

  /** What it was told, in order. */
  get changes(): readonly PowerChange[] {
    return this.#changes;
  }

  /** Notes a change while `work` carries it out. */
  async change<T>(part: Partial<PowerState>, now: () => number, work: () => Promise<T>) {
    const before = this.#present;
    const after = { ...before, ...part };
    const change: PowerChange = { from: now(), to: Number.POSITIVE_INFINITY, before, after };
    this.#changes.push(change);
    this.#present = after;
    try {
      return await work();
    } finally {
      change.to = now();
    }
  }

  /** What holds all the time from one instant to another; null where it was being changed meanwhile. */
  between(from: number, to: number): Expected | null {
    if (this.#changes.some((change) => change.from <= to && change.to >= from)) return null;
    const last = this.#changes.findLast((change) => change.to < from);
    const { volts, on } = last?.after ?? this.#begin();
    const lowered = last ? loweredBy(last, from) : null;
    if (!last || from >= last.to + settlingTime(last))
      return { on, least: volts, most: volts, settling: false, lowered };
    const other = given(last.before);
    const [least, most] = [Math.min(volts, other), Math.max(volts, other)];
    return { on, least, most, settling: true, lowered };
  }

  /** Times in which the output was off, s; infinite to where it still is. */
  get off(): readonly Span[] {
    return this.#changes.flatMap(({ to, before, after }, index) => {
      if (after.on || !before.on) return [];
      const next = this.#changes.slice(index + 1).find((change) => change.after.on);
      return [{ from: to, to: next?.from ?? Number.POSITIVE_INFINITY }];
    });
  }

  /** When what it was told last has come up, s: it is held to that from then on; minus infinity where it did not have to rise. */
  get risen(): number {
    const last = this.#changes.at(-1);
    if (!last || given(last.after) <= given(last.before)) return Number.NEGATIVE_INFINITY;
    return last.to + settlingTime(last);
  }

  /** Whether the stimulus changed something within this time, or shortly before it. */
  changedWithin(from: number, to: number): boolean {
    return this.#changes.some(
      (change) => change.from <= to && change.to + settlingTime(change) >= from,
    );
  }

  #begin(): PowerState {
    return this.#changes[0]?.before ?? this.#present;
  }
}

/** Null where the output had to rise. */
function loweredBy({ before, after, to }: PowerChange, from: number): Lowered | null {
  const [high, low] = [given(before), given(after)];
  return high > low ? { before: high, after: low, since: from - to } : null;
}

/** V at the terminals. */
function given({ volts, on }: PowerState): number {
  return on ? volts : 0;
}

function settlingTime({ before, after }: PowerChange): number {
  const falling = !after.on || (before.on && after.volts < before.volts);
  return falling ? discharges : rises;
}
