import type { Lamp, SlotLink } from '../../harness/bench/lamp.ts';
import type { Clock, LampTarget } from '../../harness/bench/ports.ts';
import { frameRate, slotsOf } from './slots.ts';
import { streamFade } from './stream-fade.ts';

export interface Pace {
  /** Frames without news that go out at the full rate. */
  readonly copies: number;
  /** Seconds from frame to frame after them. */
  readonly keepAlive: number;
}

export interface SlotSenderParts {
  readonly lamp: Lamp;
  readonly link: SlotLink;
  readonly clock: Clock;
  readonly pace: Pace;
  /** Sends one frame; resolves when it has left. */
  readonly emit: (slots: Uint8Array) => Promise<void>;
}

const dark: LampTarget = { level: 0, intensities: {} };

/**
 * Sends frames in real time as a lighting console does: 40 a second while something moves, fewer when nothing does. One
 * frame is under way at a time. A frame that cannot be sent ends the stream; the next call is told why.
 */
export class SlotSender {
  readonly #parts: SlotSenderParts;
  readonly #channels: readonly string[];
  #from: LampTarget = dark;
  #to: LampTarget = dark;
  #start = 0;
  #over = 0;
  /** Slots that were sent as they are; they hold until the next target. */
  #raw: Uint8Array | null = null;
  #sent: Uint8Array | null = null;
  #same = 0;
  #timer: NodeJS.Timeout | null = null;
  #running = false;
  /** A stream that was stopped or turned ignores what the old one had planned. */
  #generation = 0;
  #frame: Promise<void> = Promise.resolve();
  #failure: unknown = null;

  constructor(parts: SlotSenderParts) {
    this.#parts = parts;
    this.#channels = parts.lamp.channels.map(({ channel }) => channel);
  }

  get running(): boolean {
    return this.#running;
  }

  /** Sends the target from now on, after a fade of `over` seconds. Resolves when the first frame has left. */
  go(to: LampTarget, over: number): Promise<void> {
    this.#from = this.#present();
    this.#to = to;
    this.#start = this.#parts.clock.now();
    this.#over = over;
    this.#raw = null;
    return this.resume();
  }

  goRaw(slots: Uint8Array): Promise<void> {
    this.#raw = slots;
    return this.resume();
  }

  async resume(): Promise<void> {
    this.#failure = null;
    this.#running = true;
    this.#same = 0;
    this.#cancel();
    const generation = ++this.#generation;
    await this.#frame;
    await this.#next(generation);
    if (this.#failure) throw this.#failure;
  }

  /** No frame begins after this; resolves when the last one has left. */
  async stop(): Promise<void> {
    this.#running = false;
    this.#generation++;
    this.#cancel();
    await this.#frame;
  }

  /** As at the start: dark, and silent. */
  async forget(): Promise<void> {
    // At once: a target that is given before the last frame has left is not to be forgotten with the rest.
    [this.#from, this.#to, this.#over, this.#raw, this.#sent] = [dark, dark, 0, null, null];
    await this.stop();
  }

  /** A frame between two of the stream. */
  async between(send: () => Promise<void>): Promise<void> {
    await this.#frame;
    this.#frame = send();
    await this.#frame;
  }

  /** Throws what ended the stream. */
  check(): void {
    if (this.#failure) throw this.#failure;
  }

  #present(): LampTarget {
    const { clock, lamp } = this.#parts;
    const progress = this.#over > 0 ? Math.min(1, (clock.now() - this.#start) / this.#over) : 1;
    return streamFade(this.#from, this.#to, progress, lamp.curve);
  }

  async #next(generation: number): Promise<void> {
    if (generation !== this.#generation) return;
    const { clock, emit, lamp, link, pace } = this.#parts;
    const began = clock.now();
    const slots = this.#raw ?? slotsOf(link, this.#channels, lamp.curve, this.#present());
    const news = !this.#sent || !Buffer.from(this.#sent).equals(slots);
    this.#same = news ? 1 : this.#same + 1;
    this.#sent = slots;
    this.#frame = emit(slots).catch((error: unknown) => {
      this.#failure = error;
      this.#running = false;
    });
    await this.#frame;
    if (!this.#running || generation !== this.#generation) return;
    const fading = this.#raw === null && began < this.#start + this.#over;
    const slow = !fading && this.#same >= pace.copies;
    const due = began + (slow ? pace.keepAlive : 1 / frameRate);
    const wait = Math.max(0, (due - clock.now()) * 1000);
    this.#timer = setTimeout(() => void this.#next(generation), wait);
  }

  #cancel(): void {
    if (this.#timer) clearTimeout(this.#timer);
    this.#timer = null;
  }
}
