import type { Answered, Heard, HeardStory } from '../harness/bench/heard.ts';
import { HeardLog } from './heard-log.ts';

/** Who is told of everything that is sent to the lamp. */
export interface SendListener {
  /** `within`: s in which it arrived; the instant of the event is the middle of it, or the end of a frame of a stream. */
  sent(event: Heard, link?: string | null, within?: number): void;
  /** Lines may still be added to an answer. */
  answered(answer: Answered): void;
}

/** What the links of a rig, and what holds the lamp's power, tell of all that they send. */
export class SentLog implements SendListener {
  readonly #log = new HeardLog();
  readonly #answered: Answered[] = [];
  readonly #slowest = new Map<string, number>();

  sent(event: Heard, link: string | null = null, within = 0): void {
    this.#log.tell(event);
    if (link !== null) this.#slowest.set(link, Math.max(within, this.#slowest.get(link) ?? 0));
  }

  answered(answer: Answered): void {
    this.#answered.push(answer);
  }

  until(now: number): HeardStory | null {
    const heard = this.#log.until(now);
    return heard && { heard, answered: [...this.#answered], slowest: new Map(this.#slowest) };
  }
}
