import { type Lamp, type SlotLink, slotCount } from '../../../harness/bench/lamp.ts';
import { decodeExtended } from '../../sacn/extended-packet.ts';
import { decodeSacn, headerLength, type SacnPacket } from '../../sacn/packet.ts';
import { reworked } from '../../sacn/reworked.ts';
import type { LampSide } from '../lamp-side.ts';
import type { LinkTraits } from './traits.ts';

/** Seconds from refresh to refresh of the lamp's slots while a source lives: well within the lamp's own time-out. */
const refresh = 0.5;
/** Bits of the options that ANSI E1.31-2018 6.2.6 leaves for later; receivers ignore them (from memory). */
const reservedOptions = 0x1f;
/** The lamp's own line counts as silent so long after its last frame, s (ANSI E1.11: 1 s to 1.25 s). */
const lineLoss = 1.25;
/** s between two looks at the sources, at least. */
const least = 1e-3;

interface Source {
  priority: number;
  sequence: number;
  heard: number;
  /** In effect; null before the first. */
  slots: Uint8Array | null;
  /** They wait for the synchronisation packet of an address. */
  waiting: { readonly slots: Uint8Array; readonly address: number } | null;
  /** Rises with every packet that carries levels; the later one wins between equal priorities. */
  order: number;
}

/**
 * The network interface in front of the lamp: takes packets of its universe by the receiver rules of ANSI E1.31-2018
 * (sequence, preview, terminated, priority, loss after 2.5 s) and hands the winner's slots on as a DMX frame. Between
 * sources of one priority the latest packet wins.
 */
export class SacnNode {
  readonly #side: LampSide;
  readonly #traits: LinkTraits;
  readonly #universe: number;
  readonly #first: number;
  readonly #lead: number;
  readonly #count: number;
  readonly #sources = new Map<string, Source>();
  /** When the last synchronisation packet of an address came, s. */
  readonly #synced = new Map<number, number>();
  /** Sources that are gone, where they are remembered. */
  readonly #ended = new Map<string, Source>();
  /** The last packet of any source. */
  #last: { readonly sequence: number } | null = null;
  #orders = 0;
  /** Since when it has been up, s. */
  #since: number | null = null;
  /** When the last frame went to the lamp, s. */
  #handedOn = 0;
  #watching = false;

  constructor(
    lamp: Lamp,
    sacn: SlotLink & { readonly universe: number },
    side: LampSide,
    traits: LinkTraits,
  ) {
    this.#side = side;
    this.#traits = traits;
    this.#universe = sacn.universe;
    this.#first = sacn.firstSlot;
    this.#count = slotCount(sacn, lamp.channels.length);
    // The lamp reads its slots where its DMX input has them.
    this.#lead = (lamp.links.dmx ?? sacn).firstSlot - 1;
  }

  /** A datagram arrives, now. */
  receive(bytes: Uint8Array): void {
    if (!this.#isUp()) return;
    const other = decodeExtended(bytes);
    if (other?.is === 'sync') this.#release(other.syncAddress);
    if (other?.is === 'discovery' && this.#traits.takesDiscovery) this.#takeAnything(bytes);
    if (other) return;
    const packet = decodeSacn(reworked(bytes, { fields: this.#traits.blindTo }));
    if ('discard' in packet && this.#traits.ignoresHead) this.#takeAnything(bytes);
    if ('discard' in packet || packet.universe !== this.#universe) return;
    if (this.#traits.refusesReservedOptions && ((bytes[112] ?? 0) & reservedOptions) !== 0) return;
    this.#hear(packet);
  }

  #hear(packet: SacnPacket): void {
    const traits = this.#traits;
    const name = [...packet.cid].join();
    const source = this.#sources.get(name);
    const last = traits.countsSourcesTogether ? this.#last : (source ?? this.#ended.get(name));
    const late = last && traits.isLate(packet.sequence, last.sequence);
    if (late && !traits.ignoresSequence) return;
    if (source) source.sequence = packet.sequence;
    this.#last = packet;
    if (packet.preview && !traits.takesPreview) return;
    if (!packet.terminated || traits.ignoresTerminated) {
      this.#take(name, packet);
      return;
    }
    if (traits.takesLastLevels && source) this.#frame(0, packet.slots);
    // The end of a stream that nobody heard ends nothing.
    if (!source) return;
    this.#forget(name);
    if (traits.endsTogether) this.#sources.clear();
    this.#handOn();
  }

  #forget(name: string): void {
    const source = this.#sources.get(name);
    if (source && this.#traits.remembersEnded) this.#ended.set(name, source);
    this.#sources.delete(name);
  }

  #takeAnything(bytes: Uint8Array): void {
    const slots = bytes.subarray(headerLength);
    if (slots.length >= this.#first - 1 + this.#count) this.#frame(0, slots);
  }

  #take(name: string, packet: SacnPacket): void {
    if (!this.#traits.takesStartCode(packet.startCode)) {
      // Its source is there all the same.
      const source = this.#sources.get(name);
      if (source) source.heard = this.#side.clock.now();
      this.#frame(packet.startCode, packet.slots);
      return;
    }
    const { sequence, slots, syncAddress: address } = packet;
    const known = this.#traits.firstPriorityHolds ? this.#sources.get(name) : undefined;
    const priority = known?.priority ?? packet.priority;
    const heard = this.#side.clock.now();
    const common = { priority, sequence, heard };
    if (this.#waits(packet)) {
      const { order = -1, slots: before = null } = this.#sources.get(name) ?? {};
      this.#sources.set(name, { ...common, order, slots: before, waiting: { slots, address } });
    } else {
      this.#sources.set(name, { ...common, slots, waiting: null, order: this.#orders++ });
      this.#handOn();
    }
    if (this.#watching) return;
    this.#watching = true;
    this.#watch();
  }

  /**
   * A packet with an address waits once synchronisation packets of it were heard; where they stay away it waits on, unless
   * it says that it need not (ANSI E1.31-2018 6.2.4 and 6.2.6, from memory).
   */
  #waits({ syncAddress, forceSync }: SacnPacket): boolean {
    const { ignoresSync, neverLosesSync, sourceLoss } = this.#traits;
    const last = this.#synced.get(syncAddress);
    if (syncAddress === 0 || ignoresSync || last === undefined) return false;
    const lost = this.#side.clock.now() - last > sourceLoss;
    return !(lost && forceSync && !neverLosesSync);
  }

  #release(address: number): void {
    this.#synced.set(address, this.#side.clock.now());
    let released = 0;
    for (const source of this.#sources.values()) {
      const { waiting } = source;
      if (!waiting || (waiting.address !== address && !this.#traits.takesAnySync)) continue;
      released++;
      source.slots = waiting.slots;
      source.waiting = null;
      source.order = this.#orders++;
    }
    // Where nothing waited, nothing is new.
    if (released > 0) this.#handOn();
  }

  /** Whether it hears. Without power, and over a restart, nothing is remembered. */
  #isUp(): boolean {
    const since = this.#side.upSince();
    if (since === null || since !== this.#since) {
      this.#sources.clear();
      this.#ended.clear();
      this.#synced.clear();
      this.#last = null;
    }
    this.#since = since;
    return since !== null;
  }

  #watch(): void {
    const { sourceLoss } = this.#traits;
    const heard = Math.min(...[...this.#sources.values()].map((source) => source.heard));
    const at = this.#side.clock.now();
    // When the next source may be lost, at the latest.
    const next = Math.min(at + refresh, Math.max(at + least, heard + sourceLoss));
    this.#side.clock.schedule(next, () => {
      const now = this.#side.clock.now();
      if (!this.#isUp()) {
        this.#watching = false;
        return;
      }
      const count = this.#sources.size;
      for (const [name, { heard }] of this.#sources) {
        if (now - heard > this.#traits.sourceLoss - 1e-6) this.#forget(name);
      }
      // Slots that say nothing new are no answer to those that came on the lamp's own line meanwhile.
      const isNews = this.#sources.size < count;
      const isFree = this.#sources.size > 0 && this.#side.slotLine.framesUntil <= this.#handedOn;
      if (isNews || isFree) this.#handOn();
      this.#watching = this.#sources.size > 0;
      if (this.#watching) this.#watch();
    });
  }

  #handOn(): void {
    const lit = [...this.#sources.values()].filter(({ slots }) => slots !== null);
    const winner = lit.reduce<Source | null>(
      (best, source) => (best === null || this.#beats(source, best) ? source : best),
      null,
    );
    if (winner?.slots) this.#frame(0, winner.slots);
    else if (this.#sources.size === 0 && !this.#ownLineSpeaks())
      this.#side.deliver(this.#side.clock.now(), { link: 'dmx', event: 'lost' });
  }

  /** Frames on the lamp's own line are a signal, too. */
  #ownLineSpeaks(): boolean {
    return this.#side.clock.now() - this.#side.slotLine.framesUntil < lineLoss;
  }

  #beats(one: Source, other: Source): boolean {
    if (this.#traits.ignoresPriority || one.priority === other.priority)
      return one.order > other.order;
    return this.#traits.rank(one.priority) > this.#traits.rank(other.priority);
  }

  /** A frame of the lamp's own line is never cut: slots of the network come behind it. */
  #frame(startCode: number, slots: Uint8Array): void {
    const now = Math.max(this.#side.clock.now(), this.#side.slotLine.freeAt);
    // Frames of other start codes say no levels.
    if (startCode === 0) this.#handedOn = now;
    const ours = slots.subarray(this.#first - 1, this.#first - 1 + this.#count);
    const bytes = [startCode, ...new Uint8Array(this.#lead), ...ours];
    this.#side.slotLine.networkFrames++;
    this.#side.deliver(now, { link: 'dmx', event: 'break', network: true });
    bytes.forEach((byte, index) => {
      const last = index === bytes.length - 1;
      this.#side.deliver(now, { link: 'dmx', event: 'byte', byte, network: true }, last);
    });
  }
}
