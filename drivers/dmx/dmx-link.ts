import { BenchError, type BenchErrorKind } from '../../harness/bench/errors.ts';
import type { Lamp, SlotLink } from '../../harness/bench/lamp.ts';
import type {
  Call,
  Clock,
  Identity,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../harness/bench/ports.ts';
import type { SerialLine } from '../transport/serial-byte-port.ts';
import { settledOrTimeout, withDeadline } from '../transport/with-deadline.ts';
import { type BreakMethod, sendFrame, sendSlots } from './dmx-line.ts';
import { SlotSender } from './slot-sender.ts';
import { frameRate, mostSlots } from './slots.ts';

/** Seconds that a system may take to give a port back. */
const release = 1;

export interface DmxLinkParts {
  readonly name: string;
  readonly lamp: Lamp;
  readonly slots: SlotLink;
  readonly clock: Clock;
  readonly method: BreakMethod;
  readonly connect: (signal: AbortSignal) => Promise<SerialLine>;
}

/** A DMX512 line from an RS-485 adapter: the frame is repeated 40 times a second, a fade is a run of frames. */
export class DmxLampLink implements LampLink {
  readonly kind = 'lamp-link';
  readonly driver = 'dmx';
  readonly link = 'dmx';
  readonly name: string;
  readonly #parts: DmxLinkParts;
  readonly #sender: SlotSender;
  readonly #closing = new AbortController();
  #line: Promise<SerialLine> | null = null;

  constructor(parts: DmxLinkParts) {
    this.name = parts.name;
    this.#parts = parts;
    this.#sender = new SlotSender({
      lamp: parts.lamp,
      link: parts.slots,
      clock: parts.clock,
      pace: { copies: Number.POSITIVE_INFINITY, keepAlive: 1 / frameRate },
      emit: (slots) => this.#frame(0, slots),
    });
  }

  identify(call: Call): Promise<Identity> {
    return this.#within(call, async (signal) => {
      await this.#open(signal);
      const model = 'DMX512 sender';
      return { maker: 'Evenfall', model, serial: '0', firmware: '0', raw: `Evenfall, ${model}` };
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.fade(target, 0, call);
  }

  /** Resolves when the first frame has left; the others follow by themselves. */
  fade(target: LampTarget, over: number, call: Call): Promise<void> {
    return this.#within(call, () => this.#sender.go(target, over));
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    if (message.link !== 'dmx')
      throw this.#error('unsupported', `a ${message.link} message was asked for; it carries slots`);
    if (message.slots.length > mostSlots)
      throw this.#error(
        'unsupported',
        `${message.slots.length} slots given; a frame holds ${mostSlots}`,
      );
    const slots = Uint8Array.from(message.slots);
    return this.#within(call, async () => {
      if (message.startCode === 0) await this.#sender.goRaw(slots);
      else await this.#sender.between(() => this.#frame(message.startCode, slots));
      return null;
    });
  }

  carry(on: boolean, call: Call): Promise<void> {
    return this.#within(call, () => (on ? this.#sender.resume() : this.#sender.stop()));
  }

  /** Between two frames, without a break: a receiver waits for the next one. */
  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.#within(call, () => this.#sender.between(() => this.#write(bytes)));
  }

  reset(): Promise<void> {
    return Promise.reject(
      this.#error('unsupported', 'DMX512 has no message that restarts a lamp; use its console'),
    );
  }

  forget(): void {
    void this.#sender.forget();
  }

  /** The line has no way back: dark is sent, and never confirmed. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.set({ level: 0, intensities: {} }, call);
    return { confirmed: false };
  }

  async close(): Promise<void> {
    this.#closing.abort();
    const held = this.#line;
    this.#line = null;
    // Closing the port first: a frame that hangs in it would never be over.
    if (held !== null)
      await settledOrTimeout(
        release,
        held.then((line) => line.close()),
      );
    await this.#sender.stop();
  }

  #frame(startCode: number, slots: Uint8Array): Promise<void> {
    return this.#use((line) =>
      sendFrame(line, Uint8Array.of(startCode, ...slots), this.#parts.method),
    );
  }

  #write(bytes: Uint8Array): Promise<void> {
    return this.#use((line) => sendSlots(line, bytes));
  }

  async #use(send: (line: SerialLine) => Promise<void>): Promise<void> {
    const line = await this.#open(this.#closing.signal);
    try {
      await send(line);
    } catch (error) {
      this.#line = null;
      void line.close();
      throw error;
    }
  }

  #open(signal: AbortSignal): Promise<SerialLine> {
    this.#line ??= this.#parts.connect(signal).catch((error: unknown) => {
      this.#line = null;
      throw error;
    });
    return this.#line;
  }

  #within<T>(call: Call, work: (signal: AbortSignal) => Promise<T>): Promise<T> {
    return withDeadline(this.name, call, this.#closing.signal, work);
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `DMX512 link ${this.name}: ${why}`);
  }
}
