import { sumOf } from './rdm-packet.ts';
import { type Uid, uidBytes, uidIn } from './uid.ts';

/**
 * The answer to DISC_UNIQUE_BRANCH, which goes without a break: 0 to 7 bytes 0xfe, 0xaa, the id in 12 bytes and its checksum in 4,
 * each byte once with 0xaa and once with 0x55 in it, so that answers which collide show. ANSI E1.20-2010 7.5, from memory.
 */
const preamble = 0xfe;
const separator = 0xaa;
const preambleLength = 7;
const mask = [0xaa, 0x55] as const;
const encodedUid = 12;
const encodedSum = 4;

export function encodeFound(uid: Uid): Uint8Array {
  const coded = uidBytes(uid).flatMap(doubled);
  const sum = sumOf(coded);
  return Uint8Array.from([
    ...new Array<number>(preambleLength).fill(preamble),
    separator,
    ...coded,
    ...[sum >> 8, sum & 0xff].flatMap(doubled),
  ]);
}

/** The id; `garbled` for bytes that are no whole answer, as of several at once; null for silence. */
export function decodeFound(bytes: Uint8Array): { readonly uid: Uid } | 'garbled' | null {
  if (bytes.length === 0) return null;
  const at = bytes.indexOf(separator) + 1;
  const coded = bytes.subarray(at, at + encodedUid);
  const sum = bytes.subarray(at + encodedUid, at + encodedUid + encodedSum);
  if (at === 0 || sum.length < encodedSum) return 'garbled';
  const [own, told] = [halved(coded), halved(sum)];
  if (!own || !told) return 'garbled';
  return sumOf(coded) === 256 * (told[0] ?? 0) + (told[1] ?? 0)
    ? { uid: uidIn(own, 0) }
    : 'garbled';
}

function doubled(byte: number): number[] {
  return mask.map((bits) => byte | bits);
}

/** Null where the two of a pair do not have the bits that each must have. */
function halved(bytes: Uint8Array): number[] | null {
  const out: number[] = [];
  for (let index = 0; index + 1 < bytes.length; index += 2) {
    const [first = 0, second = 0] = [bytes[index], bytes[index + 1]];
    if ((first & mask[0]) !== mask[0] || (second & mask[1]) !== mask[1]) return null;
    out.push(first & second);
  }
  return out;
}
