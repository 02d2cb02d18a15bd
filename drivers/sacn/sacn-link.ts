import { createHash } from 'node:crypto';
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
import { SlotSender } from '../dmx/slot-sender.ts';
import { mostSlots } from '../dmx/slots.ts';
import { settledOrTimeout, withDeadline } from '../transport/with-deadline.ts';
import { copies, encodeSacn, keepAlive } from './packet.ts';
import type { SacnSocket } from './sacn-socket.ts';

type SlotMessage = Extract<RawMessage, { link: 'dmx' | 'sacn' }>;
type Options = Partial<Omit<SlotMessage, 'link' | 'slots'>>;

/** Seconds in which the end of a stream has to be on its way when the link is closed. */
const farewell = 0.5;

export interface SacnLinkParts {
  readonly name: string;
  readonly lamp: Lamp;
  readonly slots: SlotLink & { readonly universe: number };
  readonly clock: Clock;
  readonly priority: number;
  readonly open: () => Promise<SacnSocket>;
}

/**
 * A sender of ANSI E1.31: a change goes out three times, then the stream slows down to a packet every 0.9 s; its end is
 * said three times. A raw message with a priority of its own comes from a second source, as if another console joined.
 */
export class SacnLampLink implements LampLink {
  readonly kind = 'lamp-link';
  readonly driver = 'sacn';
  readonly link = 'sacn';
  readonly name: string;
  readonly #parts: SacnLinkParts;
  readonly #sender: SlotSender;
  readonly #closing = new AbortController();
  /** Last sequence number of each source, by priority. */
  readonly #sequences = new Map<number, number>();
  #socket: Promise<SacnSocket> | null = null;
  /** The end of the stream that was forgotten last: the next one begins after it. */
  #forgotten: Promise<void> = Promise.resolve();
  #closed: Promise<void> | null = null;

  constructor(parts: SacnLinkParts) {
    this.name = parts.name;
    this.#parts = parts;
    this.#sender = new SlotSender({
      lamp: parts.lamp,
      link: parts.slots,
      clock: parts.clock,
      pace: { copies, keepAlive },
      emit: (slots) => this.#transmit(slots, {}),
    });
  }

  identify(call: Call): Promise<Identity> {
    return this.#within(call, async () => {
      await this.#open();
      const model = `sACN sender, universe ${this.#parts.slots.universe}`;
      return { maker: 'Evenfall', model, serial: '0', firmware: '0', raw: `Evenfall, ${model}` };
    });
  }

  set(target: LampTarget, call: Call): Promise<void> {
    return this.fade(target, 0, call);
  }

  /** Resolves when the first packet has left; the others follow by themselves. */
  fade(target: LampTarget, over: number, call: Call): Promise<void> {
    return this.#within(call, () => this.#sender.go(target, over));
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    if (message.link !== 'sacn')
      throw this.#error(
        'unsupported',
        `a ${message.link} message was asked for; it carries packets`,
      );
    if (message.slots.length > mostSlots)
      throw this.#error(
        'unsupported',
        `${message.slots.length} slots given; a packet holds ${mostSlots}`,
      );
    return this.#within(call, async () => {
      await this.#sendRaw(message);
      return null;
    });
  }

  carry(on: boolean, call: Call): Promise<void> {
    return this.#within(call, () => (on ? this.#sender.resume() : this.#sender.stop()));
  }

  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.#within(call, async () => (await this.#open()).send(bytes));
  }

  reset(): Promise<void> {
    return Promise.reject(
      this.#error('unsupported', 'sACN has no message that restarts a lamp; use its console'),
    );
  }

  /** Ends the stream. A lamp that lost its power knows nothing of it: the next stream begins at number 0, as the first. */
  forget(): void {
    const running = this.#sender.running;
    const stopped = this.#sender.forget();
    this.#forgotten = this.#forgotten
      .then(() => stopped)
      .then(() => (running ? this.#terminate() : undefined))
      .catch(() => {})
      .then(() => this.#sequences.clear());
  }

  /** The network has no way back: dark is sent, and never confirmed. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.set({ level: 0, intensities: {} }, call);
    return { confirmed: false };
  }

  close(): Promise<void> {
    this.#closed ??= this.#end();
    return this.#closed;
  }

  async #end(): Promise<void> {
    this.#closing.abort();
    const running = this.#sender.running;
    const ended = this.#sender.stop().then(() => (running ? this.#terminate() : undefined));
    await settledOrTimeout(farewell, ended);
    await this.#socket?.then((socket) => socket.close()).catch(() => {});
  }

  async #sendRaw(message: SlotMessage): Promise<void> {
    const slots = Uint8Array.from(message.slots);
    const { startCode, preview, terminated, priority, sequence } = message;
    const plain = [preview, terminated, priority, sequence].every((option) => option === undefined);
    if (plain && startCode === 0) return this.#sender.goRaw(slots);
    if (terminated && priority === undefined) await this.#sender.stop();
    for (let copy = 0; copy < (terminated ? copies : 1); copy++)
      await this.#sender.between(() => this.#transmit(slots, message));
  }

  async #terminate(): Promise<void> {
    for (let copy = 0; copy < copies; copy++)
      await this.#transmit(new Uint8Array(0), { terminated: true });
  }

  async #transmit(slots: Uint8Array, options: Options): Promise<void> {
    const priority = options.priority ?? this.#parts.priority;
    const sequence = options.sequence ?? ((this.#sequences.get(priority) ?? -1) + 1) & 0xff;
    // A number that was asked for is an intruder; the stream goes on with its own.
    if (options.sequence === undefined) this.#sequences.set(priority, sequence);
    const packet = encodeSacn({
      cid: cidOf(`${this.name}/${priority}`),
      sourceName: `Evenfall ${this.name}`,
      priority,
      syncAddress: 0,
      sequence,
      preview: options.preview ?? false,
      terminated: options.terminated ?? false,
      forceSync: false,
      universe: this.#parts.slots.universe,
      startCode: options.startCode ?? 0,
      slots,
    });
    await (await this.#open()).send(packet);
  }

  #open(): Promise<SacnSocket> {
    this.#socket ??= this.#parts.open().catch((error: unknown) => {
      this.#socket = null;
      throw error;
    });
    return this.#socket;
  }

  #within<T>(call: Call, work: () => Promise<T>): Promise<T> {
    return withDeadline(this.name, call, this.#closing.signal, async () => {
      await this.#forgotten;
      return work();
    });
  }

  #error(kind: BenchErrorKind, why: string): BenchError {
    return new BenchError(kind, this.name, `sACN link ${this.name}: ${why}`);
  }
}

/** A sender's id: the same for the same source on every day, different between sources. */
function cidOf(source: string): Uint8Array {
  const cid = createHash('sha256').update(`evenfall sacn ${source}`).digest().subarray(0, 16);
  // Marks of a UUID made from a name (RFC 9562, version 8).
  cid[6] = (cid[6]! & 0x0f) | 0x80;
  cid[8] = (cid[8]! & 0x3f) | 0x80;
  return cid;
}
