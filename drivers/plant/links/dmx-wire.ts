import type { SlotLine } from '../../dmx/slot-line.ts';
import { breakTime, frameTime, markAfterBreak, slotTime } from '../../dmx/slots.ts';
import type { LampSide } from '../lamp-side.ts';
import { MessageFates } from './message-fates.ts';
import type { LinkTraits } from './traits.ts';

/** A DMX512 line to the lamp: break, mark and slots take their time (ANSI E1.11). */
export class DmxWire implements SlotLine {
  readonly broken = false;
  readonly congested = false;
  readonly #side: LampSide;
  readonly #fates: MessageFates;
  /** Instant at which the line is free again, s. */
  #free = 0;

  constructor(side: LampSide, traits: LinkTraits) {
    this.#side = side;
    this.#fates = new MessageFates(traits, 'dmx');
  }

  frame(startCode: number, slots: Uint8Array): void {
    const start = Math.max(this.#side.clock.now(), this.#free);
    this.#free = start + frameTime(slots.length);
    const { lost, late } = this.#fates.next();
    if (lost) return;
    const from = start + late;
    this.#side.deliver(from + breakTime, { link: 'dmx', event: 'break' });
    [startCode, ...slots].forEach((byte, index) => {
      const at = from + breakTime + markAfterBreak + (index + 1) * slotTime;
      this.#side.deliver(at, { link: 'dmx', event: 'byte', byte }, index === slots.length);
    });
  }

  bytes(bytes: Uint8Array): void {
    const start = Math.max(this.#side.clock.now(), this.#free);
    this.#free = start + bytes.length * slotTime;
    bytes.forEach((byte, index) => {
      const at = start + (index + 1) * slotTime;
      this.#side.deliver(at, { link: 'dmx', event: 'byte', byte });
    });
  }

  ready(): Promise<void> {
    return Promise.resolve();
  }

  free(signal: AbortSignal): Promise<void> {
    return this.#side.clock.waitUntil(this.#free, signal);
  }

  sent(signal: AbortSignal): Promise<void> {
    return this.free(signal);
  }

  close(): Promise<void> {
    return Promise.resolve();
  }
}
