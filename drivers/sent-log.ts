import type { Answered, Heard, HeardStory } from '../harness/bench/heard.ts';
import type { ProbeTrack } from '../harness/measure/observation.ts';
import { HeardLog } from './heard-log.ts';
import { ProbeKeeper } from './probe-keeper.ts';

/** Converters hand over what has arrived every 16 ms, as common ones do, and a line takes its time, s. */
const heardLate = 0.02;

/** Who is told of everything that is sent to the lamp. */
export interface SendListener {
  /** `within`: s in which it arrived; the instant of the event is the middle of it, or the end of a frame of a stream. */
  sent(event: Heard, link?: string | null, within?: number): void;
  /** Lines may still be added to an answer. */
  answered(answer: Answered): void;
  /** A variable of the firmware has a value; `at`: when that was heard, s. */
  probed?(at: number, name: string, unit: string, value: number): void;
}

/** What the links of a rig, and what holds the lamp's power, tell of all that they send. */
export class SentLog implements SendListener {
  readonly #log = new HeardLog();
  readonly #answered: Answered[] = [];
  readonly #slowest = new Map<string, number>();
  #probes = new ProbeKeeper();

  sent(event: Heard, link: string | null = null, within = 0): void {
    this.#log.tell(event);
    if (link !== null) this.#slowest.set(link, Math.max(within, this.#slowest.get(link) ?? 0));
  }

  answered(answer: Answered): void {
    this.#answered.push(answer);
  }

  /** What cannot be kept is not told: a rig's lamp has no log of its own for it. */
  probed(at: number, name: string, unit: string, value: number): void {
    this.#probes.tell(at, name, unit, value);
  }

  /** Since they were forgotten last. */
  probes(): readonly ProbeTrack[] {
    return this.#probes.kept().map((track) => ({ ...track, late: heardLate }));
  }

  forgetProbes(): void {
    this.#probes = new ProbeKeeper();
  }

  until(now: number): HeardStory | null {
    const heard = this.#log.until(now);
    return heard && { heard, answered: [...this.#answered], slowest: new Map(this.#slowest) };
  }
}
