import type { SlotLink } from '../../../harness/bench/lamp.ts';
import type {
  Call,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../../harness/bench/ports.ts';
import {
  breakTime,
  frameRate,
  frameTime,
  markAfterBreak,
  mostSlots,
  slotTime,
} from '../../dmx/slots.ts';
import { LampLinkBase } from './lamp-link-base.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';
import { SlotStream } from './slot-stream.ts';

/** Seconds after which a lamp that glides from frame to frame has come to rest. */
const glideTime = 0.1;

/** A DMX512 line from a sender that repeats its frame 40 times a second; a fade is a run of frames. */
export class PlantDmxLink extends LampLinkBase implements LampLink {
  readonly #stream: SlotStream;
  #free = 0;

  constructor(parts: LampLinkParts, slots: SlotLink) {
    super(parts, 'dmx');
    const pace = { copies: Number.POSITIVE_INFINITY, keepAlive: 1 / frameRate };
    this.#stream = new SlotStream(parts.lamp, slots, parts.port, pace, (frame) =>
      this.#transmit(0, frame),
    );
  }

  async set(target: LampTarget, call: Call): Promise<void> {
    await this.fade(target, 0, call);
  }

  /** Resolves when the first frame is over; the others follow by themselves. */
  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    this.open(call);
    await this.until(this.#free, call);
    this.#stream.go(target, over);
    await this.until(this.#free, call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.open(call);
    if (message.link !== 'dmx')
      throw this.error('unsupported', `a ${message.link} message was asked for; it carries slots`);
    if (message.slots.length > mostSlots)
      throw this.error(
        'unsupported',
        `${message.slots.length} slots given; a frame holds ${mostSlots}`,
      );
    await this.until(this.#free, call);
    const slots = Uint8Array.from(message.slots);
    if (message.startCode === 0) this.#stream.goRaw(slots);
    else this.#transmit(message.startCode, slots);
    await this.until(this.#free, call);
    return null;
  }

  override async carry(on: boolean, call: Call): Promise<void> {
    this.open(call);
    if (on) this.#stream.resume();
    else this.#stream.stop();
  }

  /** Bytes without a break, after the frame that is under way. */
  async noise(bytes: Uint8Array, call: Call): Promise<void> {
    this.open(call);
    const start = Math.max(this.port.time.now(), this.#free);
    this.#free = start + bytes.length * slotTime;
    bytes.forEach((byte, index) => {
      const at = start + (index + 1) * slotTime;
      this.port.deliver(at, { link: 'dmx', event: 'byte', byte });
    });
    await this.until(this.#free, call);
  }

  /** The line has no way back: dark is sent, and never confirmed. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.set({ level: 0, intensities: {} }, call);
    await this.until(this.port.time.now() + glideTime, call);
    return { confirmed: false };
  }

  override close(): Promise<void> {
    this.#stream.stop();
    return super.close();
  }

  #transmit(startCode: number, slots: Uint8Array): void {
    const start = Math.max(this.port.time.now(), this.#free);
    this.#free = start + frameTime(slots.length);
    const { lost, late } = this.nextMessage();
    if (lost) return;
    const from = start + late;
    this.port.deliver(from + breakTime, { link: 'dmx', event: 'break' });
    [startCode, ...slots].forEach((byte, index) => {
      const at = from + breakTime + markAfterBreak + (index + 1) * slotTime;
      this.port.deliver(at, { link: 'dmx', event: 'byte', byte }, index === slots.length);
    });
  }
}
