import type { Lamp, SlotLink } from '../../../harness/bench/lamp.ts';
import type { LampTarget } from '../../../harness/bench/ports.ts';
import { frameRate, slotsOf } from '../../dmx/slots.ts';
import { streamFade } from '../../dmx/stream-fade.ts';
import type { LinkPort } from '../link-port.ts';

interface Pace {
  /** Frames without news that go out at the full rate. */
  readonly copies: number;
  /** Seconds from frame to frame after them. */
  readonly keepAlive: number;
}

/**
 * What a lighting console does: frames at 40 Hz, fades made frame by frame. `emit` puts one frame on its way at the
 * present instant. The stream goes on for as long as anybody waits on the virtual clock.
 */
export class SlotStream {
  readonly #lamp: Lamp;
  readonly #link: SlotLink;
  readonly #channels: readonly string[];
  readonly #port: LinkPort;
  readonly #emit: (slots: Uint8Array) => void;
  readonly #pace: Pace;
  #from: LampTarget;
  #to: LampTarget;
  #start = 0;
  #over = 0;
  /** Slots that were sent as they are; they hold until the next target. */
  #raw: Uint8Array | null = null;
  #sent: Uint8Array | null = null;
  #same = 0;
  /** A stream that was stopped or restarted ignores the wake-ups of the old one. */
  #generation = 0;
  #running = false;

  constructor(
    lamp: Lamp,
    link: SlotLink,
    port: LinkPort,
    pace: Pace,
    emit: (slots: Uint8Array) => void,
  ) {
    this.#lamp = lamp;
    this.#link = link;
    this.#channels = lamp.channels.map(({ channel }) => channel);
    this.#port = port;
    this.#pace = pace;
    this.#emit = emit;
    this.#from = { level: 0, intensities: {} };
    this.#to = this.#from;
  }

  get running(): boolean {
    return this.#running;
  }

  /** Sends the target from now on, after a fade of `over` seconds. The first frame goes out at once. */
  go(to: LampTarget, over: number): void {
    this.#from = this.#present();
    this.#to = to;
    this.#start = this.#port.time.now();
    this.#over = over;
    this.#raw = null;
    this.resume();
  }

  /** Sends these slots from now on. */
  goRaw(slots: Uint8Array): void {
    this.#raw = slots;
    this.resume();
  }

  resume(): void {
    this.#running = true;
    this.#same = 0;
    this.#frame(++this.#generation);
  }

  stop(): void {
    this.#running = false;
    this.#generation++;
  }

  #present(): LampTarget {
    const elapsed = this.#port.time.now() - this.#start;
    const progress = this.#over > 0 ? Math.min(1, elapsed / this.#over) : 1;
    return streamFade(this.#from, this.#to, progress, this.#lamp.curve);
  }

  #frame(generation: number): void {
    if (generation !== this.#generation) return;
    const slots =
      this.#raw ?? slotsOf(this.#link, this.#channels, this.#lamp.curve, this.#present());
    const news = !this.#sent || this.#sent.join() !== slots.join();
    this.#same = news ? 1 : this.#same + 1;
    this.#sent = slots;
    this.#emit(slots);
    const now = this.#port.time.now();
    const fading = !this.#raw && now < this.#start + this.#over;
    const slow = !fading && this.#same >= this.#pace.copies;
    this.#port.schedule(now + (slow ? this.#pace.keepAlive : 1 / frameRate), () =>
      this.#frame(generation),
    );
  }
}
