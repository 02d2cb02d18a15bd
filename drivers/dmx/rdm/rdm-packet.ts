import { type Uid, uidBytes, uidIn } from './uid.ts';

/** START code of RDM, and of the messages that it has only one kind of. ANSI E1.20-2010, all of this file from memory. */
export const rdmStartCode = 0xcc;
const subStart = 0x01;
/** Bytes before the parameter data, START code counted; the checksum follows the data. */
const headLength = 24;
const checksumLength = 2;
const mostData = 231;

export const commandClass = {
  discover: 0x10,
  discovered: 0x11,
  get: 0x20,
  got: 0x21,
  set: 0x30,
  done: 0x31,
} as const;

/** Byte 16 of a response. */
export const responseType = { ack: 0, ackTimer: 1, nack: 2, ackOverflow: 3 } as const;

/** A message of ANSI E1.20. */
export interface RdmPacket {
  readonly to: Uid;
  readonly from: Uid;
  /** Transaction number: an answer has that of its question. */
  readonly transaction: number;
  /** Port of a controller; response type of a responder. */
  readonly portOrType: number;
  /** Messages that wait in the responder. */
  readonly waiting: number;
  readonly subDevice: number;
  readonly commandClass: number;
  readonly parameter: number;
  readonly data: readonly number[];
}

/** The whole message from its START code to its checksum. */
export function encodeRdm(packet: RdmPacket): Uint8Array {
  const { data } = packet;
  if (data.length > mostData)
    throw new RangeError(
      `parameter data: at most ${mostData} bytes expected, ${data.length} found`,
    );
  const bytes = [
    ...[rdmStartCode, subStart, headLength + data.length],
    ...[...uidBytes(packet.to), ...uidBytes(packet.from)],
    ...[packet.transaction & 0xff, packet.portOrType, packet.waiting],
    ...word(packet.subDevice),
    packet.commandClass,
    ...word(packet.parameter),
    data.length,
    ...data,
  ];
  return Uint8Array.from([...bytes, ...word(sumOf(bytes))]);
}

/** The message that begins at the START code; or what is wrong with it. */
export function decodeRdm(bytes: Uint8Array): RdmPacket | { readonly garbled: string } {
  const length = bytes[2] ?? 0;
  if (bytes[0] !== rdmStartCode || bytes[1] !== subStart)
    return { garbled: 'START codes 0xcc 0x01 expected' };
  if (length < headLength || bytes.length < length + checksumLength)
    return { garbled: `${length + checksumLength} bytes expected, ${bytes.length} found` };
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const sum = sumOf(bytes.subarray(0, length));
  if (view.getUint16(length) !== sum)
    return {
      garbled: `checksum 0x${sum.toString(16)} expected, 0x${view.getUint16(length).toString(16)} found`,
    };
  if (view.getUint8(23) !== length - headLength)
    return {
      garbled: `${length - headLength} bytes of data expected, ${view.getUint8(23)} announced`,
    };
  return {
    to: uidIn(bytes, 3),
    from: uidIn(bytes, 9),
    transaction: view.getUint8(15),
    portOrType: view.getUint8(16),
    waiting: view.getUint8(17),
    subDevice: view.getUint16(18),
    commandClass: view.getUint8(20),
    parameter: view.getUint16(21),
    data: [...bytes.subarray(headLength, length)],
  };
}

/** How many bytes the message has whose first ones these are; null where that cannot be told yet. */
export function lengthOfRdm(bytes: ArrayLike<number>): number | null {
  return bytes.length < 3 ? null : (bytes[2] ?? 0) + checksumLength;
}

/** Sum of all bytes, 16 bits. */
export function sumOf(bytes: Iterable<number>): number {
  let sum = 0;
  for (const byte of bytes) sum += byte;
  return sum & 0xffff;
}

export function word(value: number): readonly [number, number] {
  return [(value >> 8) & 0xff, value & 0xff];
}
