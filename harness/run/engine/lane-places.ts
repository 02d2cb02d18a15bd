import type { Lane } from './lane.ts';

/** A lane, and the end of the last condition that it was given. */
export interface LanePlace {
  readonly lane: Lane;
  /** Counted from 0. */
  readonly number: number;
  last: Promise<void>;
}

/** Places for conditions: one on each lane, and one for each that may wait there. */
export class LanePlaces {
  readonly #free: LanePlace[];
  /** Places in all. */
  readonly count: number;

  constructor(lanes: readonly Lane[]) {
    const places = lanes.map((lane, number) => ({ lane, number, last: Promise.resolve() }));
    const ahead = Math.max(0, ...lanes.map((lane) => lane.ahead ?? 0));
    // Every lane gets its first condition before one gets its second.
    this.#free = Array.from({ length: 1 + ahead }, (_, round) =>
      places.filter(({ lane }) => (lane.ahead ?? 0) >= round),
    ).flat();
    this.count = this.#free.length;
  }

  /** The place that has been free longest; whoever takes one gives it back. */
  take(): LanePlace {
    const place = this.#free.shift();
    if (!place) throw new Error(`expected no more than ${this.count} conditions at a time`);
    return place;
  }

  giveBack(place: LanePlace): void {
    this.#free.push(place);
  }
}
