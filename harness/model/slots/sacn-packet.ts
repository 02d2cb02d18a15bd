/** A packet of ANSI E1.31-2018 as far as a lamp reads it. */
export type Packet =
  | {
      readonly is: 'data';
      readonly cid: string;
      readonly priority: number;
      readonly syncAddress: number;
      readonly sequence: number;
      readonly preview: boolean;
      readonly terminated: boolean;
      readonly forceSync: boolean;
      readonly universe: number;
      readonly startCode: number;
      readonly slots: readonly number[];
      /** Its lengths and its priority are those that the standard has, and nothing stands behind its last slot (E1.31 5.4, from memory). */
      readonly sound: boolean;
    }
  | {
      readonly is: 'sync';
      readonly cid: string;
      readonly sequence: number;
      readonly address: number;
    };

/** Preamble, postamble and identifier of the root layer (E1.31 5.1 to 5.3). */
const rootStart = [
  0,
  0x10,
  0,
  0,
  ...Array.from('ASC-E1.17', (letter) => letter.charCodeAt(0)),
  0,
  0,
  0,
];
const headLength = 126;
const syncLength = 49;
const mostProperties = 513;
const highestPriority = 200;

/** Null for what receivers discard, and for packets that say nothing of the light, such as universe discovery. */
export function readPacket(bytes: readonly number[]): Packet | null {
  if (!rootStart.every((byte, index) => bytes[index] === byte)) return null;
  const word = (at: number) => 256 * (bytes[at] ?? 0) + (bytes[at + 1] ?? 0);
  const long = (at: number) => 65_536 * word(at) + word(at + 2);
  const cid = bytes.slice(22, 38).join('.');
  const [root, framing] = [long(18), long(40)];
  if (root === 8 && framing === 1 && bytes.length >= syncLength)
    return { is: 'sync', cid, sequence: bytes[44] ?? 0, address: word(45) };
  if (root !== 4 || framing !== 2 || bytes.length < headLength) return null;
  // Set property, of range data, from address 0, one by one (E1.31 7).
  if (bytes[117] !== 2 || bytes[118] !== 0xa1 || word(119) !== 0 || word(121) !== 1) return null;
  const properties = word(123);
  const end = 125 + properties;
  if (properties < 1 || properties > mostProperties || bytes.length < end) return null;
  const options = bytes[112] ?? 0;
  const priority = bytes[108] ?? 0;
  const lengthsFit = [16, 38, 115].every((at) => word(at) === 0x7000 + end - at);
  return {
    is: 'data',
    cid,
    priority,
    syncAddress: word(109),
    sequence: bytes[111] ?? 0,
    preview: (options & 0x80) !== 0,
    terminated: (options & 0x40) !== 0,
    forceSync: (options & 0x20) !== 0,
    universe: word(113),
    startCode: bytes[125] ?? 0,
    slots: bytes.slice(headLength, end),
    sound: lengthsFit && bytes.length === end && priority <= highestPriority,
  };
}

/** A number that came late, or twice: from 19 behind the last one up to it (E1.31 6.7.2). */
export function isLate(sequence: number, last: number): boolean {
  const behind = (last - sequence) & 0xff;
  return behind < 20;
}
