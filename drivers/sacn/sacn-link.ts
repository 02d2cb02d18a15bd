import { createHash } from 'node:crypto';
import type { SlotLink } from '../../harness/bench/lamp.ts';
import type { Call, LampLink, RawMessage, Reply } from '../../harness/bench/ports.ts';
import { SlotLinkBase, type SlotLinkParts } from '../dmx/slot-link-base.ts';
import type { DatagramPort } from '../transport/datagram-port.ts';
import { settledOrTimeout } from '../transport/with-deadline.ts';
import {
  discoveryInterval,
  discoveryUniverse,
  encodeDiscovery,
  encodeSync,
} from './extended-packet.ts';
import { copies, encodeSacn, keepAlive } from './packet.ts';
import { reworked } from './reworked.ts';

type Options = Partial<Omit<Extract<RawMessage, { link: 'dmx' | 'sacn' }>, 'link' | 'slots'>>;

/** Seconds in which the end of a stream has to be on its way when the link is closed. */
const farewell = 0.5;

/** Another console that joins, or ours: each has its own id and its own numbers. */
interface Source {
  readonly cid: Uint8Array;
  /** Sequence number of its next packet. */
  next: number;
  /** Of its next synchronisation packet, by address: they are counted apart (ANSI E1.31-2018 6.7.2). */
  readonly syncs: Map<number, number>;
}

export interface SacnLinkParts extends SlotLinkParts<DatagramPort> {
  readonly slots: SlotLink & { readonly universe: number };
  readonly priority: number;
  /** What no other sender is called: its CID is made of it (ANSI E1.31: one for each component, for its life). */
  readonly sender: string;
}

/**
 * A sender of ANSI E1.31: a change goes out three times, then the stream slows down to a packet every 0.9 s; its end is
 * said three times. A raw message with a name or a priority of its own comes from another source, as if a second console joined.
 */
export class SacnLampLink extends SlotLinkBase<'sacn', DatagramPort> implements LampLink {
  readonly #universe: number;
  readonly #priority: number;
  readonly #sender: string;
  /** Calls off the next announcement; null where none is due. */
  #callOff: (() => void) | null = null;
  /** By name; those that have none go by their priority. */
  readonly #sources = new Map<string, Source>();

  constructor(parts: SacnLinkParts) {
    super(parts, 'sacn', { copies, keepAlive });
    this.#universe = parts.slots.universe;
    this.#priority = parts.priority;
    this.#sender = parts.sender;
  }

  async send(message: RawMessage, call: Call): Promise<Reply> {
    this.checkOwn(message);
    this.checkLength(message.slots);
    return this.whenReady(call, async (signal) => {
      this.#sendRaw(message);
      await this.outlet.sent(signal);
      return null;
    });
  }

  noise(bytes: Uint8Array, call: Call): Promise<void> {
    return this.whenReady(call, async (signal) => {
      this.#put(bytes);
      await this.outlet.sent(signal);
    });
  }

  /** Ends the stream. A lamp that lost its power knows nothing of it: the next stream begins at number 0, as the first. */
  override forget(): void {
    this.#end();
    super.forget();
    this.#sources.clear();
  }

  protected emit(levels: Uint8Array): void {
    this.#transmit(levels, {});
    this.#announce();
  }

  protected async release(): Promise<void> {
    this.#callOff?.();
    if (this.#end())
      await settledOrTimeout(farewell, this.outlet.sent(new AbortController().signal), this.clock);
    await this.outlet.close();
  }

  #sendRaw(message: Extract<RawMessage, { link: 'dmx' | 'sacn' }>): void {
    if (message.packet) {
      this.#extended(message.packet, message);
      return;
    }
    if (message.datagram) {
      this.#put(Uint8Array.from(message.datagram));
      return;
    }
    const slots = Uint8Array.from(message.slots);
    const { link: _link, slots: _slots, startCode, ...options } = message;
    if (Object.keys(options).length === 0 && startCode === 0) {
      this.stream.goRaw(slots);
      return;
    }
    const { terminated, priority, source } = options;
    if (terminated && priority === undefined && source === undefined) this.stream.stop();
    for (let copy = 0; copy < (terminated ? copies : 1); copy++) this.#transmit(slots, message);
  }

  /** A packet without levels, of the source that a priority names. */
  #extended(packet: 'sync' | 'discovery', options: Options): void {
    const { syncAddress = 0, sequence, universes = [] } = options;
    const { cid, syncs } = this.#sourceOf(options);
    if (packet === 'discovery') {
      const sourceName = `Evenfall ${this.name}`;
      const list = encodeDiscovery({ cid, sourceName, page: 0, lastPage: 0, universes });
      this.#put(list, discoveryUniverse);
      return;
    }
    const number = sequence ?? syncs.get(syncAddress) ?? 0;
    if (sequence === undefined) syncs.set(syncAddress, (number + 1) & 0xff);
    this.#put(encodeSync({ cid, sequence: number, syncAddress }), syncAddress);
  }

  /** While a stream runs, its universe is announced every 10 s (ANSI E1.31-2018 8). */
  #announce(): void {
    const due = this.clock.now() + discoveryInterval;
    this.#callOff ??= this.clock.schedule(due, () => {
      this.#callOff = null;
      if (!this.stream.running || this.outlet.broken) return;
      this.#extended('discovery', { universes: [this.#universe] });
      this.#announce();
    });
  }

  /** Stops the stream, and says so where one was running; returns whether it was. */
  #end(): boolean {
    const { running } = this.stream;
    this.stream.stop();
    if (!running) return false;
    for (let copy = 0; copy < copies; copy++)
      this.#transmit(new Uint8Array(0), { terminated: true });
    return true;
  }

  #transmit(slots: Uint8Array, options: Options): void {
    const source = this.#sourceOf(options);
    const sequence = options.sequence ?? source.next;
    // A number that was asked for is an intruder; the stream goes on with its own.
    if (options.sequence === undefined) source.next = (sequence + 1) & 0xff;
    const packet = encodeSacn({
      cid: source.cid,
      sourceName: `Evenfall ${this.name}`,
      priority: options.priority ?? this.#priority,
      syncAddress: options.syncAddress ?? 0,
      sequence,
      preview: options.preview ?? false,
      terminated: options.terminated ?? false,
      forceSync: options.forceSync ?? false,
      universe: options.universe ?? this.#universe,
      startCode: options.startCode ?? 0,
      slots,
    });
    this.#put(reworked(packet, options));
  }

  #put(datagram: Uint8Array, universe?: number): void {
    const { log } = this;
    this.outlet.send(
      datagram,
      universe,
      log &&
        (({ began, lasted }) => {
          const event = { kind: 'sacn', at: began + lasted, datagram: [...datagram] } as const;
          log.sent(event, 'sacn', lasted);
        }),
    );
  }

  #sourceOf({ source: named, priority = this.#priority }: Options): Source {
    const who = named === undefined ? String(priority) : `named ${named}`;
    const known = this.#sources.get(who);
    if (known) return known;
    const cid = cidOf(`${this.#sender}/${this.name}`, who);
    const source: Source = { cid, next: 0, syncs: new Map() };
    this.#sources.set(who, source);
    return source;
  }
}

/** Bytes of a CID in which the sources of one sender differ, from here on: as if they came from addresses of network interfaces. */
const node = 10;

/**
 * A source's id: the same on every day, different between sources. What is one maker's differs in few bytes (common practice, no source), which
 * a lamp has to tell apart.
 */
function cidOf(sender: string, source: string): Uint8Array {
  const hash = (of: string) => createHash('sha256').update(`evenfall sacn ${of}`).digest();
  const cid = Buffer.concat([
    hash(sender).subarray(0, node),
    hash(`${sender}/${source}`).subarray(node, 16),
  ]);
  // Marks of a UUID made from a name (RFC 9562, version 8).
  cid.writeUInt8((cid.readUInt8(6) & 0x0f) | 0x80, 6);
  cid.writeUInt8((cid.readUInt8(8) & 0x3f) | 0x80, 8);
  return cid;
}
