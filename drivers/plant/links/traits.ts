import type { SacnField } from '../../../harness/bench/sacn-fields.ts';
import { networkLoss, outOfSequence } from '../../sacn/packet.ts';

/** The places where the way from the bench to the lamp can be wrong. All functions are pure. */
export interface LinkTraits {
  /** Whether message number `index` (from 0, per link) is lost on its way to the lamp. */
  loses(index: number, link: string): boolean;
  /** How fast the clock of the lamp's serial ports runs, of the console and of DMX512: 1.01 is 1 % fast. */
  readonly serialRate: Readonly<Record<'console' | 'dmx', number>>;
  /** Seconds that message number `index` arrives late. */
  latency(index: number, link: string): number;
  /** The network node drives the lamp with packets marked as preview (ANSI E1.31 says never). */
  readonly takesPreview: boolean;
  /** The network node lets any source win, whatever its priority. */
  readonly ignoresPriority: boolean;
  /** The network node takes packets that come out of order. */
  readonly ignoresSequence: boolean;
  /** Whether a packet counts as late or doubled, by its number and the last one. */
  isLate(sequence: number, last: number): boolean;
  /** Numbers of all sources are held against one count. */
  readonly countsSourcesTogether: boolean;
  /** The number of a source that ended is remembered, so that it cannot begin again. */
  readonly remembersEnded: boolean;
  /** Fields of a packet's head that the network node does not look at: they count as these. */
  readonly blindTo: Readonly<Partial<Record<SacnField, number>>>;
  /** What the priority of a source counts for; the higher one wins. */
  rank(priority: number): number;
  /** The priority of a source's first packet holds for the others. */
  readonly firstPriorityHolds: boolean;
  /** The end of one source ends them all. */
  readonly endsTogether: boolean;
  /** Levels in a packet that ends a stream count. */
  readonly takesLastLevels: boolean;
  /** START codes whose slots the network node hands on as levels. */
  takesStartCode(code: number): boolean;
  /** Packets with reserved options are dropped. */
  readonly refusesReservedOptions: boolean;
  /** The network node goes on with the last levels when a stream says that it ended. */
  readonly ignoresTerminated: boolean;
  /** The network node takes the slots of whatever arrives at its port, without a look at the packet's head. */
  readonly ignoresHead: boolean;
  /** The network node acts on packets at once that wait for synchronisation. */
  readonly ignoresSync: boolean;
  /** The network node takes a synchronisation packet of any address. */
  readonly takesAnySync: boolean;
  /** The network node waits on where nobody synchronises any more, also where it need not. */
  readonly neverLosesSync: boolean;
  /** The network node takes lists of universes for levels. */
  readonly takesDiscovery: boolean;
  /** Seconds without packets after which a source counts as lost. */
  readonly sourceLoss: number;
}

/** A faultless way. */
export const healthyLinkTraits: LinkTraits = {
  loses: () => false,
  latency: () => 0,
  serialRate: { console: 1, dmx: 1 },
  takesPreview: false,
  ignoresPriority: false,
  ignoresSequence: false,
  isLate: outOfSequence,
  countsSourcesTogether: false,
  remembersEnded: false,
  blindTo: {},
  rank: (priority) => priority,
  firstPriorityHolds: false,
  endsTogether: false,
  takesLastLevels: false,
  takesStartCode: (code) => code === 0,
  refusesReservedOptions: false,
  ignoresTerminated: false,
  ignoresHead: false,
  ignoresSync: false,
  takesAnySync: false,
  neverLosesSync: false,
  takesDiscovery: false,
  sourceLoss: networkLoss,
};
