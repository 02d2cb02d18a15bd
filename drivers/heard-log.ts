import type { Heard } from '../harness/bench/heard.ts';

type Frame = Extract<Heard, { kind: 'dmx' }>;

/** From frame to frame of a stream that goes on, s: a receiver takes it for lost after a second (ANSI E1.11). */
const longestGap = 0.5;
/** A day of sACN packets at rest: some 100 MB. */
const mostEvents = 100_000;

/**
 * Everything that was sent to a lamp, on one clock. Of a DMX512 stream that repeats the same frame, and is not interrupted by anything
 * else, the first and the last are kept: a day of it would not fit into memory. A stream that pauses is told to have stopped.
 */
export class HeardLog {
  #events: Heard[] = [];
  #isFull = false;
  #lastFrame: Frame | null = null;
  /** Since the last frame: bytes without a break, or a frame of another start code, which may count as a signal or not. */
  #lastOther: Frame | null = null;

  tell(event: Heard): void {
    if (this.#isFull) return;
    if (event.kind === 'dmx') this.#tellFrame(event);
    this.#events.push(event);
    if (this.#events.length < mostEvents) return;
    this.#isFull = true;
    this.#events = [];
  }

  /** In order of time, up to an instant, s. Null where it was too much to keep. */
  until(now: number): readonly Heard[] | null {
    if (this.#isFull) return null;
    this.#stop(now);
    return this.#events.filter(({ at }) => at <= now).toSorted((one, other) => one.at - other.at);
  }

  #tellFrame(frame: Frame): void {
    this.#stop(frame.at);
    if (frame.startCode !== 0 || frame.unframed) {
      this.#lastOther = frame;
      return;
    }
    this.#lastFrame = frame;
    this.#lastOther = null;
    if (this.#repeats(frame)) this.#events.pop();
  }

  /** The stream has paused, or ended: where something else came after its last frame, it may have done so twice. */
  #stop(now: number): void {
    const isOver = (last: Frame | null) => last !== null && now - last.at >= longestGap;
    const [frame, other] = [this.#lastFrame, this.#lastOther];
    for (const last of [frame, other])
      if (last && isOver(last)) this.#events.push({ kind: 'dmx-stops', at: last.at });
    if (isOver(frame)) this.#lastFrame = null;
    if (isOver(other)) this.#lastOther = null;
  }

  /** Two like it are there already, one after the other. */
  #repeats(frame: Frame): boolean {
    const [first, second] = this.#events.slice(-2);
    return isLike(frame, first) && isLike(frame, second);
  }
}

function isLike({ startCode, slots }: Frame, other: Heard | undefined): boolean {
  return (
    other?.kind === 'dmx' &&
    other.startCode === startCode &&
    other.slots.length === slots.length &&
    other.slots.every((value, index) => value === slots[index])
  );
}
