import type { Heard } from '../bench/heard.ts';
import type { Lamp } from '../bench/lamp.ts';
import type { Allowances } from './allowances.ts';
import { nextDeadline, passDeadline } from './deadlines.ts';
import { isLink, type Overlap, overlap, overlapAfter, overlapOf } from './overlap.ts';
import { react } from './react.ts';
import { firstWorlds } from './start.ts';
import { Timeline } from './timeline.ts';
import type { PossibleAnswer, World } from './world.ts';
import { fork, type Stepped, stepWorlds } from './worlds.ts';

/** How things stand at the end of a story: another story may go on from there. */
export interface StoryEnd {
  readonly at: number;
  /** How many events there were. */
  readonly events: number;
  readonly worlds: readonly World[];
  /** Commands that may still be on their way. */
  readonly onWay: readonly Overlap[];
}

interface Swapped extends Stepped {
  /** After the first of both alone. */
  readonly between: readonly World[];
}

/** Goes through a story, event by event. */
export class Telling {
  readonly timeline: Timeline;
  readonly #lamp: Lamp;
  readonly #allowances: Allowances;
  #worlds: readonly World[];
  #at: number;
  #events: number;
  #onWay: readonly Overlap[];

  constructor(lamp: Lamp, allowances: Allowances, after: StoryEnd | null) {
    this.#lamp = lamp;
    this.#allowances = allowances;
    this.timeline = new Timeline(allowances);
    this.#worlds = after?.worlds ?? firstWorlds(lamp, allowances);
    this.#at = after?.at ?? 0;
    this.#events = after?.events ?? 0;
    this.#onWay = after?.onWay ?? [];
    this.timeline.note(after?.at ?? Number.NEGATIVE_INFINITY, this.#worlds);
  }

  get end(): StoryEnd {
    return { at: this.#at, events: this.#events, worlds: this.#worlds, onWay: this.#onWay };
  }

  /** What the lamp may answer; none for an event that asks nothing. Throws RangeError where the event is not in order. */
  hear(event: Heard): readonly PossibleAnswer[] {
    this.passTime(event.at);
    const of = this.#events++;
    const before = this.#worlds;
    const after = this.#step(before, event, of);
    const swapped = this.#swapped(event, of);
    const both = fork(overlap, ...after.worlds, ...swapped.worlds);
    const only = swapped.worlds.length === 0;
    this.#worlds = only ? after.worlds : this.#step(both, null, of).worlds;
    // What the first of both asked for may be seen until the other one shows.
    if (!only) this.timeline.note(event.at, [...after.worlds, ...swapped.between]);
    this.timeline.note(event.at, this.#worlds);
    this.#onWay = this.#stillOnWay(event, of, before);
    return only ? after.answers : [...after.answers, ...swapped.answers];
  }

  #stillOnWay(event: Heard, of: number, before: readonly World[]): readonly Overlap[] {
    const still = this.#onWay
      .filter(({ until }) => event.at < until)
      .map((last) => overlapAfter(last, { event, of }));
    const own = overlapOf(event, of, {
      before,
      after: this.#worlds,
      tick: this.#allowances.tick,
    });
    return own ? [...still, own] : still;
  }

  #step(worlds: readonly World[], event: Heard | null, of: number): Stepped {
    const moment = { ...this.#moment(event?.at ?? this.#at), of };
    return stepWorlds(worlds, moment, (world) =>
      event ? react(world, event, moment) : [{ world }],
    );
  }

  /** The same event, had it come before those of other links that were still being heard; no worlds where that is over. */
  #swapped(event: Heard, of: number): Swapped {
    if (!isLink(event)) return { worlds: [], answers: [], between: [] };
    const swaps = this.#onWay
      .filter((last) => event.at < last.until && event.kind !== last.event.kind)
      .map((last) => this.#swappedWith(last, event, of));
    return {
      worlds: swaps.flatMap(({ worlds }) => worlds),
      answers: swaps.flatMap(({ answers }) => answers),
      between: swaps.flatMap(({ between }) => between),
    };
  }

  #swappedWith(last: Overlap, event: Heard, of: number): Swapped {
    const { at } = event;
    let { before } = last;
    for (const told of last.since) before = this.#step(before, told.event, told.of).worlds;
    const first = this.#step(before, event, of);
    const then = this.#step(first.worlds, { ...last.event, at }, last.of);
    const { stop } = last;
    const { worlds } = stop ? this.#step(then.worlds, { ...stop.event, at }, stop.of) : then;
    return { worlds, answers: first.answers, between: first.worlds };
  }

  /** Everything that the lamp does by itself up to that instant, s. */
  passTime(until: number): void {
    if (!(until >= this.#at))
      throw new RangeError(`an instant from ${this.#at} s on expected, ${until} s found`);
    for (;;) {
      const next = this.#worlds.map((world) => nextDeadline(world, this.#allowances));
      // A lamp that lived through a gap of its supply may be late with what came due meanwhile.
      const due = Math.max(this.#at, Math.min(...next));
      if (due > until || due === Number.POSITIVE_INFINITY) break;
      const moment = { ...this.#moment(due), of: -1 };
      this.#worlds = stepWorlds(this.#worlds, moment, (world) =>
        passDeadline(world, moment),
      ).worlds;
      this.timeline.note(due, this.#worlds);
      this.#at = due;
    }
    this.#at = until;
  }

  #moment(at: number) {
    return { lamp: this.#lamp, allowances: this.#allowances, at };
  }
}
