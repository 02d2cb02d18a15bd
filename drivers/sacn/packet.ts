import { mostSlots } from '../../harness/bench/lamp.ts';
import { isAcn, nameBytes, nameIn, writeHead } from './root-layer.ts';

/** A data packet of ANSI E1.31-2018. */
export interface SacnPacket {
  /** Sender's UUID, 16 bytes. */
  readonly cid: Uint8Array;
  readonly sourceName: string;
  /** 0..200, higher wins. */
  readonly priority: number;
  readonly syncAddress: number;
  readonly sequence: number;
  readonly preview: boolean;
  readonly terminated: boolean;
  readonly forceSync: boolean;
  /** 1..63999 */
  readonly universe: number;
  readonly startCode: number;
  /** Slot 1 first, at most `mostSlots`. */
  readonly slots: Uint8Array;
}

export const sacnPort = 5568;
export const defaultPriority = 100;
/** Seconds without packets after which a source is lost (ANSI E1.31-2018), and the longest pause of a sender that has nothing new. */
export const networkLoss = 2.5;
export const keepAlive = 0.9;
/** A change goes out this many times before the sender slows down; so does the end of a stream. */
export const copies = 3;

/** Bytes before the first slot. */
export const headerLength = 126;
const option = { preview: 0x80, terminated: 0x40, forceSync: 0x20 } as const;

/** IPv4 multicast group of a universe. */
export function multicastGroup(universe: number): string {
  return `239.255.${universe >> 8}.${universe & 0xff}`;
}

/** Bytes of a data packet. Throws RangeError on a field that the format cannot hold. */
export function encodeSacn(packet: SacnPacket): Uint8Array {
  inRange('universe', packet.universe, 1, 63999);
  inRange('priority', packet.priority, 0, 200);
  inRange('number of slots', packet.slots.length, 0, mostSlots);
  inRange('length of CID', packet.cid.length, 16, 16);
  const bytes = new Uint8Array(headerLength + packet.slots.length);
  const view = writeHead(bytes, { cid: packet.cid, root: 4, framing: 2 });
  bytes.set(nameBytes(packet.sourceName), 44);
  bytes[108] = packet.priority;
  view.setUint16(109, packet.syncAddress);
  bytes[111] = packet.sequence & 0xff;
  bytes[112] =
    (packet.preview ? option.preview : 0) |
    (packet.terminated ? option.terminated : 0) |
    (packet.forceSync ? option.forceSync : 0);
  view.setUint16(113, packet.universe);
  view.setUint16(115, 0x7000 | (bytes.length - 115));
  bytes[117] = 2;
  bytes[118] = 0xa1;
  view.setUint16(121, 1);
  view.setUint16(123, packet.slots.length + 1);
  bytes[125] = packet.startCode;
  bytes.set(packet.slots, headerLength);
  return bytes;
}

/**
 * Reads a data packet. A packet that receivers have to discard gives the reason in words (what was expected, what was
 * found); sync and discovery packets are told apart from damage.
 */
export function decodeSacn(bytes: Uint8Array): SacnPacket | { readonly discard: string } {
  if (bytes.length < headerLength)
    return { discard: `at least ${headerLength} bytes expected, ${bytes.length} found` };
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const wrong = fixedFields.find(([, at, size, value]) => field(view, at, size) !== value);
  if (wrong) {
    const [name, at, size, value] = wrong;
    return {
      discard: `${name} 0x${value.toString(16)} expected at byte ${at}, 0x${field(view, at, size).toString(16)} found`,
    };
  }
  if (!isAcn(bytes)) return { discard: 'packet identifier ASC-E1.17 expected at byte 4' };
  const count = view.getUint16(123);
  if (count < 1 || count > 513 || bytes.length < 125 + count)
    return { discard: `${count} properties announced, ${bytes.length - 125} found` };
  const options = view.getUint8(112);
  return {
    cid: bytes.slice(22, 38),
    sourceName: nameIn(bytes),
    priority: view.getUint8(108),
    syncAddress: view.getUint16(109),
    sequence: view.getUint8(111),
    preview: (options & option.preview) !== 0,
    terminated: (options & option.terminated) !== 0,
    forceSync: (options & option.forceSync) !== 0,
    universe: view.getUint16(113),
    startCode: view.getUint8(125),
    slots: bytes.slice(headerLength, 125 + count),
  };
}

/** Receivers discard a packet with -20 < new - last <= 0 (8 bit, signed): late or doubled. ANSI E1.31-2018 6.7.2. */
export function outOfSequence(sequence: number, last: number): boolean {
  const difference = ((sequence - last) << 24) >> 24;
  return difference > -20 && difference <= 0;
}

/** Name, offset, size and value of the fields that never change. */
const fixedFields: readonly (readonly [string, number, 1 | 2 | 4, number])[] = [
  ['preamble', 0, 2, 0x0010],
  ['post-amble', 2, 2, 0],
  ['root vector', 18, 4, 4],
  ['framing vector', 40, 4, 2],
  ['property vector', 117, 1, 2],
  ['address type', 118, 1, 0xa1],
  ['first property address', 119, 2, 0],
  ['address increment', 121, 2, 1],
];

function field(view: DataView, at: number, size: 1 | 2 | 4): number {
  if (size === 1) return view.getUint8(at);
  return size === 2 ? view.getUint16(at) : view.getUint32(at);
}

function inRange(what: string, value: number, lowest: number, highest: number): void {
  if (!Number.isInteger(value) || value < lowest || value > highest)
    throw new RangeError(`${what}: ${lowest} to ${highest} expected, ${value} found`);
}
