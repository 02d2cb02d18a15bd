import {
  answerGap,
  backwardFrameTime,
  frameTimeOf,
  gapPriority1,
  gapPriority2,
} from '../../dali/frame.ts';
import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { LinkTraits } from './traits.ts';

/** What came back after a query: a backward frame, silence, or several frames that spoilt one another. */
export type BackwardFrame = number | null | { readonly collided: readonly number[] };

/** Other gear on the bus: takes every frame, at this instant, and returns its backward frame or null. */
export type OtherGear = (frame: readonly number[], at: number) => number | null;

/** A DALI bus with one lamp on it, and whoever joins. Frames take 15.83 ms and keep their gaps (IEC 62386-101). */
export class DaliBus {
  readonly #side: LampSide;
  readonly #fates: MessageFates;
  /** Instant at which the next frame may start, s. */
  #free = 0;
  /** The wire to the lamp is cut: what else is on the bus hears on. */
  cut = false;
  /** Without power the bus carries nothing. */
  #powered = true;
  #answer: number | null = null;
  readonly #others: OtherGear[] = [];
  #otherAnswers: number[] = [];

  constructor(side: LampSide, traits: LinkTraits) {
    this.#side = side;
    this.#fates = new MessageFates(traits, 'dali');
    side.listen((link, byte) => {
      if (link === 'dali') this.#answer = byte;
    });
  }

  join(gear: OtherGear): void {
    this.#others.push(gear);
  }

  /** Resolves when the frame is over. */
  send(frame: readonly number[], signal: AbortSignal): Promise<void> {
    return this.#transmit(frame, gapPriority2, signal);
  }

  /** The same frame twice, at least `apart` seconds from end to end; resolves when the second is over. */
  async sendTwice(frame: readonly number[], signal: AbortSignal, apart = 0): Promise<void> {
    await this.#transmit(frame, gapPriority2, signal);
    const { clock } = this.#side;
    if (apart > 0) await clock.waitUntil(clock.now() + apart - frameTimeOf(frame), signal);
    await this.#transmit(frame, gapPriority1, signal);
  }

  /** The backward frame, or null for silence. Taken whole, in its own time. */
  async query(frame: readonly number[], signal: AbortSignal): Promise<BackwardFrame> {
    await this.#transmit(frame, gapPriority2, signal);
    const { clock } = this.#side;
    const end = clock.now() + answerGap + backwardFrameTime;
    await clock.waitUntil(end, signal);
    this.#free = Math.max(this.#free, end + gapPriority1);
    const own = this.#answer === null ? [] : [this.#answer];
    const [first = null, ...others] = [...own, ...this.#otherAnswers];
    return first === null || others.length === 0 ? first : { collided: [first, ...others] };
  }

  power(on: boolean): void {
    // A bus without power cannot lose it again.
    if (on === this.#powered) return;
    const at = this.#side.clock.now();
    this.#powered = on;
    this.#side.heard?.({ kind: 'dali-bus', at, powered: on });
    this.#side.deliver(at, { link: 'dali', event: 'bus', powered: on });
  }

  async #transmit(frame: readonly number[], gap: number, signal: AbortSignal): Promise<void> {
    const { clock } = this.#side;
    const { lost, late } = this.#fates.next();
    const start = Math.max(clock.now(), this.#free);
    const end = start + frameTimeOf(frame);
    this.#free = end + gap;
    this.#answer = null;
    this.#otherAnswers = this.#others
      .map((gear) => gear(frame, end))
      .filter((answer) => answer !== null);
    const carried = this.#powered && !this.cut;
    if (carried) this.#side.heard?.({ kind: 'dali', at: end, frame: [...frame] });
    if (!lost && carried) this.#side.deliver(end + late, { link: 'dali', frame: [...frame] }, true);
    await clock.waitUntil(end, signal);
  }
}
