import { frameRate } from '../../harness/bench/dmx-timing.ts';
import type { Lamp, SlotLink } from '../../harness/bench/lamp.ts';
import type { LampTarget } from '../../harness/bench/ports.ts';
import type { DriverClock } from '../driver-clock.ts';
import type { Outlet } from '../transport/outlet.ts';
import { slotsOf } from './slots.ts';
import { streamFade } from './stream-fade.ts';

export interface Pace {
  /** Frames without news that go out at the full rate. */
  readonly copies: number;
  /** Seconds from frame to frame after them. */
  readonly keepAlive: number;
}

export interface SlotStreamParts {
  readonly lamp: Lamp;
  readonly slots: SlotLink;
  readonly clock: DriverClock;
  readonly pace: Pace;
  /** What `emit` hands its frames to. */
  readonly outlet: Outlet;
  readonly emit: (slots: Uint8Array) => void;
}

const dark: LampTarget = { level: 0, intensities: {} };

/**
 * Sends frames as a lighting console does: 40 a second while something moves, fewer when nothing does; a fade is made
 * frame by frame. The first frame goes out at once. A frame that cannot leave ends the stream. On a virtual clock the
 * stream goes on as long as anybody waits.
 */
export class SlotStream {
  readonly #parts: SlotStreamParts;
  readonly #channels: readonly string[];
  #from: LampTarget = dark;
  #to: LampTarget = dark;
  #start = 0;
  #over = 0;
  /** Slots that were sent as they are; they hold until the next target. */
  #raw: Uint8Array | null = null;
  #sent: Uint8Array | null = null;
  #same = 0;
  /** Seconds from frame to frame while something moves. */
  #interval = 1 / frameRate;
  /** Calls off the next frame; null when the stream is silent. */
  #callOff: (() => void) | null = null;

  constructor(parts: SlotStreamParts) {
    this.#parts = parts;
    this.#channels = parts.lamp.channels.map(({ channel }) => channel);
  }

  get running(): boolean {
    return this.#callOff !== null;
  }

  /** Frames a second from now on; null as usual. */
  paced(rate: number | null): void {
    this.#interval = 1 / (rate ?? frameRate);
  }

  /** Sends the target from now on, after a fade of `over` seconds. */
  go(to: LampTarget, over: number): void {
    this.#from = this.#present();
    this.#to = to;
    this.#start = this.#parts.clock.now();
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
    this.stop();
    this.#same = 0;
    this.#frame();
  }

  /** No frame begins after this. */
  stop(): void {
    this.#callOff?.();
    this.#callOff = null;
  }

  /** As at the start: dark, and silent. */
  forget(): void {
    this.stop();
    this.paced(null);
    [this.#from, this.#to, this.#over, this.#raw, this.#sent] = [dark, dark, 0, null, null];
  }

  #present(): LampTarget {
    const { clock, lamp } = this.#parts;
    const progress = this.#over > 0 ? Math.min(1, (clock.now() - this.#start) / this.#over) : 1;
    return streamFade(this.#from, this.#to, progress, lamp.curve);
  }

  #frame(): void {
    const { clock, emit, lamp, pace, slots: link } = this.#parts;
    const slots = this.#raw ?? slotsOf(link, this.#channels, lamp.curve, this.#present());
    this.#same = this.#sent && sameBytes(this.#sent, slots) ? this.#same + 1 : 1;
    this.#sent = slots;
    emit(slots);
    const now = clock.now();
    const fading = this.#raw === null && now < this.#start + this.#over;
    const slow = !fading && this.#same >= pace.copies;
    this.#next(now + (slow ? pace.keepAlive : this.#interval));
  }

  #next(due: number): void {
    const { clock, outlet } = this.#parts;
    this.#callOff = clock.schedule(due, () => {
      if (outlet.broken) this.stop();
      else if (outlet.congested) this.#next(clock.now() + this.#interval);
      else this.#frame();
    });
  }
}

function sameBytes(one: Uint8Array, other: Uint8Array): boolean {
  return one.length === other.length && one.every((byte, index) => byte === other[index]);
}
