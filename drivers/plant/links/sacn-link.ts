import type { SlotLink } from '../../../harness/bench/lamp.ts';
import type {
  Call,
  LampLink,
  LampTarget,
  RawMessage,
  Reply,
} from '../../../harness/bench/ports.ts';
import { mostSlots } from '../../dmx/slots.ts';
import { copies, defaultPriority, encodeSacn, keepAlive } from '../../sacn/packet.ts';
import { LampLinkBase } from './lamp-link-base.ts';
import type { LampLinkParts } from './lamp-link-parts.ts';
import { SacnNode } from './sacn-node.ts';
import { SlotStream } from './slot-stream.ts';

/** Seconds of a datagram's way through the network. */
const networkTime = 0.2e-3;

/**
 * A sender of ANSI E1.31 on a simulated network. A raw message with a priority of its own comes from a second source,
 * as if another console joined; everything else from the first.
 */
export class PlantSacnLink extends LampLinkBase implements LampLink {
  readonly #universe: number;
  readonly #node: SacnNode;
  readonly #stream: SlotStream;
  /** Last sequence number of each source, by priority. */
  readonly #sequences = new Map<number, number>();

  constructor(parts: LampLinkParts, slots: SlotLink & { readonly universe: number }) {
    super(parts, 'sacn');
    this.#universe = slots.universe;
    this.#node = new SacnNode(parts.lamp, parts.port, parts.traits);
    this.#stream = new SlotStream(parts.lamp, slots, parts.port, { copies, keepAlive }, (frame) =>
      this.#transmit(frame, {}),
    );
  }

  async set(target: LampTarget, call: Call): Promise<void> {
    await this.fade(target, 0, call);
  }

  /** Resolves when the first packet has arrived; the others follow by themselves. */
  async fade(target: LampTarget, over: number, call: Call): Promise<void> {
    this.open(call);
    this.#stream.go(target, over);
    await this.until(this.port.time.now() + networkTime, call);
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.open(call);
    if (message.link !== 'sacn')
      throw this.error(
        'unsupported',
        `a ${message.link} message was asked for; it carries packets`,
      );
    if (message.slots.length > mostSlots)
      throw this.error(
        'unsupported',
        `${message.slots.length} slots given; a packet holds ${mostSlots}`,
      );
    const slots = Uint8Array.from(message.slots);
    const { startCode, preview, terminated, priority, sequence } = message;
    const plain = [preview, terminated, priority, sequence].every((option) => option === undefined);
    if (terminated && priority === undefined) this.#stream.stop();
    if (plain && startCode === 0) this.#stream.goRaw(slots);
    else
      for (let copy = 0; copy < (terminated ? copies : 1); copy++) this.#transmit(slots, message);
    await this.until(this.port.time.now() + networkTime, call);
    return null;
  }

  override async carry(on: boolean, call: Call): Promise<void> {
    this.open(call);
    if (on) this.#stream.resume();
    else this.#stream.stop();
  }

  async noise(bytes: Uint8Array, call: Call): Promise<void> {
    this.open(call);
    const arrival = this.port.time.now() + networkTime;
    this.port.schedule(arrival, () => this.#node.receive(bytes));
    await this.until(arrival, call);
  }

  /** The network has no way back: dark is sent, and never confirmed. */
  async safe(call: Call): Promise<{ readonly confirmed: boolean }> {
    await this.set({ level: 0, intensities: {} }, call);
    return { confirmed: false };
  }

  override close(): Promise<void> {
    this.#stream.stop();
    return super.close();
  }

  #transmit(
    slots: Uint8Array,
    options: Partial<Omit<Extract<RawMessage, { link: 'dmx' | 'sacn' }>, 'link' | 'slots'>>,
  ): void {
    const priority = options.priority ?? defaultPriority;
    const sequence = options.sequence ?? ((this.#sequences.get(priority) ?? -1) + 1) & 0xff;
    // A number that was asked for is an intruder; the stream goes on with its own.
    if (options.sequence === undefined) this.#sequences.set(priority, sequence);
    const packet = encodeSacn({
      // The last byte of the sender's id tells the sources apart.
      cid: Uint8Array.from({ length: 16 }, (_, index) => (index === 15 ? priority : 0xe0 + index)),
      sourceName: 'Evenfall',
      priority,
      syncAddress: 0,
      sequence,
      preview: options.preview ?? false,
      terminated: options.terminated ?? false,
      forceSync: false,
      universe: this.#universe,
      startCode: options.startCode ?? 0,
      slots,
    });
    const { lost, late } = this.nextMessage();
    if (lost) return;
    this.port.schedule(this.port.time.now() + networkTime + late, () => this.#node.receive(packet));
  }
}
