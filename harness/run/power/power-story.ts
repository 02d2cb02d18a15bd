/** What the output was told last. */
export interface PowerState {
  readonly volts: number;
  readonly on: boolean;
}

interface Change {
  /** The instrument was told. */
  readonly from: number;
  /** It had confirmed; infinite until then. */
  to: number;
  readonly before: PowerState;
  readonly after: PowerState;
}

/** Until a voltage that rises has settled, and one that falls: charged capacitors hold it up, s (common practice, no source). */
const rises = 0.5;
const falls = 2;

/** What an output may be at, over some time. */
export interface Expected {
  readonly on: boolean;
  /** Between these, V, while the output is on. */
  readonly least: number;
  readonly most: number;
  /** A change by the stimulus may still be felt: it may draw a surge or pass through the current limit. */
  readonly settling: boolean;
}

/** What the supply was told in the course of a condition, s on its time line. */
export class PowerStory {
  readonly #changes: Change[] = [];
  #present: PowerState;

  constructor(begin: PowerState) {
    this.#present = begin;
  }

  /** What it was told last. */
  get present(): PowerState {
    return this.#present;
  }

  /** Notes a change while `work` carries it out. */
  async change<T>(part: Partial<PowerState>, now: () => number, work: () => Promise<T>) {
    const before = this.#present;
    const after = { ...before, ...part };
    const change: Change = { from: now(), to: Number.POSITIVE_INFINITY, before, after };
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
    if (!last || from >= last.to + settlingTime(last))
      return { on, least: volts, most: volts, settling: false };
    const other = last.before.on ? last.before.volts : 0;
    return { on, least: Math.min(volts, other), most: Math.max(volts, other), settling: true };
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

function settlingTime({ before, after }: Change): number {
  const falling = !after.on || (before.on && after.volts < before.volts);
  return falling ? falls : rises;
}
