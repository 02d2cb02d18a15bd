import {
  breakTime,
  frameTime,
  markAfterBreak,
  slotTime,
  usualTiming,
} from '../../../harness/bench/dmx-timing.ts';
import type { HeardOf } from '../../../harness/bench/heard.ts';
import type { Departure } from '../../../harness/bench/ports.ts';
import type { SlotFrame, SlotLine } from '../../dmx/slot-line.ts';
import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { LinkTraits } from './traits.ts';
import { type ReceivedByte, receivedBytes } from './uart.ts';

/** From the end of a message to the end of its answer, s: at most 2 ms, break, mark and 257 slots (ANSI E1.20, from memory). */
const longestAnswer = 2e-3 + breakTime + markAfterBreak + 257 * slotTime;

/** Start, eight, two stop bits (ANSI E1.11, confirmed in public texts). */
const bitsPerSlot = 11;

/** A DMX512 line to the lamp: break, mark and slots take their time (ANSI E1.11). */
export class DmxWire implements SlotLine {
  readonly broken = false;
  readonly congested = false;
  readonly #side: LampSide;
  readonly #fates: MessageFates;
  readonly #rate: number;
  /** Instant at which the line is free again, s. */
  #free = 0;
  #last: Departure = { began: 0, lasted: 0 };
  #frame: { readonly startCode: number; readonly slots: readonly number[] } | null = null;
  /** How many frames of the network had come before it. */
  #behind = 0;
  /** What the lamp says. */
  #heard: number[] = [];

  constructor(side: LampSide, traits: LinkTraits) {
    this.#side = side;
    this.#fates = new MessageFates(traits, 'dmx');
    this.#rate = traits.serialRate.dmx;
    side.listen((link, byte) => {
      if (link === 'dmx') this.#heard.push(byte);
    });
  }

  cannot(): null {
    return null;
  }

  frame({ startCode, slots, timing }: SlotFrame): void {
    const start = Math.max(this.#side.clock.now(), this.#free);
    const { break: low, mark } = { ...usualTiming, ...timing };
    this.#occupy(start, frameTime(slots.length, { break: low, mark }));
    this.#behind = this.#side.slotLine.networkFrames;
    this.#side.slotLine.framesUntil = this.#free;
    this.#tell({ startCode, slots: [...slots] }, start + low + mark);
    const { lost, late } = this.#fates.next();
    if (lost) return;
    const from = start + late + low;
    this.#side.deliver(from, { link: 'dmx', event: 'break', low, mark });
    this.#deliver([startCode, ...slots], from + mark, true);
  }

  /** Bytes that begin at an instant; `whole` where a message ends with them. */
  #deliver(bytes: readonly number[], start: number, whole: boolean): void {
    const arrived = this.#arrived(bytes);
    const last = whole ? arrived.length - 1 : -1;
    arrived.forEach(({ at, byte, framingError }, index) => {
      const input = {
        ...({ link: 'dmx', event: 'byte', byte } as const),
        ...(framingError && { framingError }),
      };
      this.#side.deliver(start + at, input, index === last);
    });
  }

  /** What the lamp's port takes the bytes for. */
  #arrived(bytes: readonly number[]): readonly ReceivedByte[] {
    if (this.#rate !== 1)
      return receivedBytes(bytes, { bitTime: slotTime / bitsPerSlot, stopBits: 2 }, this.#rate);
    return bytes.map((byte, index) => ({
      byte,
      framingError: false,
      at: (index + 1) * slotTime,
    }));
  }

  #tell(frame: Omit<HeardOf<'dmx'>, 'kind' | 'at'>, at: number): void {
    this.#frame = frame;
    this.#side.heard?.({ kind: 'dmx', at, ...frame });
  }

  async talk(message: Uint8Array, _all: boolean, signal: AbortSignal): Promise<Uint8Array> {
    const { clock } = this.#side;
    const [startCode = 0, ...rest] = message;
    this.frame({ startCode, slots: Uint8Array.from(rest) });
    const end = this.#free;
    // The line is the lamp's for as long as its answer may take.
    this.#free = end + longestAnswer;
    await clock.waitUntil(end - slotTime / 2, signal);
    this.#heard = [];
    await clock.waitUntil(end + longestAnswer, signal);
    return Uint8Array.from(this.#heard);
  }

  bytes(bytes: Uint8Array): void {
    const start = Math.max(this.#side.clock.now(), this.#free);
    this.#occupy(start, bytes.length * slotTime);
    // The lamp reads a frame of the network since: without a break these are of none.
    if (this.#side.slotLine.networkFrames > this.#behind) return;
    // Else they are more slots of the last frame.
    if (this.#frame) {
      this.#side.slotLine.framesUntil = this.#free;
      const { startCode, slots } = this.#frame;
      this.#tell({ startCode, slots: [...slots, ...bytes], unframed: true }, start);
    }
    this.#deliver([...bytes], start, false);
  }

  ready(): Promise<void> {
    return Promise.resolve();
  }

  free(signal: AbortSignal): Promise<void> {
    return this.#side.clock.waitUntil(this.#free, signal);
  }

  async sent(signal: AbortSignal): Promise<Departure> {
    const last = this.#last;
    await this.free(signal);
    return last;
  }

  close(): Promise<void> {
    return Promise.resolve();
  }

  #occupy(began: number, lasted: number): void {
    this.#last = { began, lasted };
    this.#free = began + lasted;
    this.#side.slotLine.freeAt = this.#free;
  }
}
