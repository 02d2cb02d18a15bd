import { headOf, isAcn, nameBytes, nameIn, writeHead } from './root-layer.ts';

/** A packet of ANSI E1.31-2018 that carries no levels. */
export type ExtendedPacket =
  | {
      readonly is: 'sync';
      readonly cid: Uint8Array;
      readonly sequence: number;
      /** 1..63999: packets with this synchronisation address take effect now. */
      readonly syncAddress: number;
    }
  | {
      readonly is: 'discovery';
      readonly cid: Uint8Array;
      readonly sourceName: string;
      readonly page: number;
      readonly lastPage: number;
      /** That the source sends on, in ascending order; at most 512 a page. */
      readonly universes: readonly number[];
    };

/** Root vector of synchronisation and discovery, and their framing vectors. */
const extended = 8;
const vectors = { sync: 1, discovery: 2 } as const;
/** Vector of the list of universes. */
const universeList = 1;
const syncLength = 49;
const listAt = 120;
const mostOnPage = 512;

/** The universe that discovery goes to, and seconds from one to the next. */
export const discoveryUniverse = 64_214;
export const discoveryInterval = 10;

/** ANSI E1.31-2018 6.3: 49 bytes; offsets of sequence and address are from memory. */
export function encodeSync({
  cid,
  sequence,
  syncAddress,
}: Omit<Extract<ExtendedPacket, { is: 'sync' }>, 'is'>): Uint8Array {
  if (!(syncAddress >= 1 && syncAddress <= 63_999))
    throw new RangeError(`synchronisation address: 1 to 63999 expected, ${syncAddress} found`);
  const bytes = new Uint8Array(syncLength);
  const view = writeHead(bytes, { cid, root: extended, framing: vectors.sync });
  bytes[44] = sequence & 0xff;
  view.setUint16(45, syncAddress);
  return bytes;
}

/** ANSI E1.31-2018 clause 8: one page of the list. */
export function encodeDiscovery({
  cid,
  sourceName,
  page,
  lastPage,
  universes,
}: Omit<Extract<ExtendedPacket, { is: 'discovery' }>, 'is'>): Uint8Array {
  if (universes.length > mostOnPage)
    throw new RangeError(`universes of a page: at most ${mostOnPage} expected`);
  const bytes = new Uint8Array(listAt + 2 * universes.length);
  const view = writeHead(bytes, { cid, root: extended, framing: vectors.discovery });
  bytes.set(nameBytes(sourceName), 44);
  view.setUint16(112, 0x7000 | (bytes.length - 112));
  view.setUint32(114, universeList);
  bytes[118] = page;
  bytes[119] = lastPage;
  const sorted = universes.toSorted((one, other) => one - other);
  for (const [index, universe] of sorted.entries()) view.setUint16(listAt + 2 * index, universe);
  return bytes;
}

/** Null for anything else, and for a packet that is not whole. */
export function decodeExtended(bytes: Uint8Array): ExtendedPacket | null {
  if (bytes.length < syncLength || !isAcn(bytes)) return null;
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { root, framing, cid } = headOf(view);
  if (root !== extended) return null;
  if (framing === vectors.sync)
    return { is: 'sync', cid, sequence: view.getUint8(44), syncAddress: view.getUint16(45) };
  if (framing !== vectors.discovery || bytes.length < listAt) return null;
  if (view.getUint32(114) !== universeList) return null;
  const count = Math.floor((bytes.length - listAt) / 2);
  return {
    is: 'discovery',
    cid,
    sourceName: nameIn(bytes),
    page: view.getUint8(118),
    lastPage: view.getUint8(119),
    universes: Array.from({ length: count }, (_, index) => view.getUint16(listAt + 2 * index)),
  };
}
