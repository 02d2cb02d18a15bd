import { Unzlib } from 'fflate';
import { type Decoded, decoded, faulty } from './file-fault.ts';

/** Bytes of a picture's values: 40 million pixels of 16 bit in three colours fit. */
const mostBytes = 256 * 2 ** 20;
/** Compressed bytes that are looked at in one go: they grow to four million at most. */
const stride = 4096;
const signatureLength = 8;
/** Length, type and checksum. */
const frameLength = 12;

/** Chunks that say what the pixels are. What else a file carries (profiles, texts, more pictures) is not looked at. */
const needed: ReadonlySet<string> = new Set(['IHDR', 'PLTE', 'IDAT', 'IEND']);
/** Values of a pixel by colour type. Source: PNG specification, third edition, clause 11.2.1. */
const valuesOf: Readonly<Record<number, number>> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };

/**
 * A PNG file without anything but its picture, once it is known that the picture fits: a few thousand bytes of a file
 * can grow to gigabytes.
 * Input: the whole file, with its signature. Faults: a chunk that is cut off or missing; a picture larger than is read;
 * compressed data that hold more than the picture.
 * Source: PNG specification, third edition, clauses 5.3 (chunks), 8 (interlacing), 9 (filtering), 11.2 (critical chunks).
 */
export function barePng(bytes: Uint8Array): Decoded<Uint8Array> {
  const chunks = chunksOf(bytes);
  const header = chunks?.find(({ type }) => type === 'IHDR');
  if (!chunks || !header || header.data.length < 13) return cutOff();
  const size = filteredBytes(header.data);
  if (size > mostBytes)
    return faulty(
      'too-large',
      `expected a PNG picture of at most ${mostBytes / 2 ** 20} MiB when unpacked, found one of ${Math.round(size / 2 ** 20)} MiB: take a smaller frame`,
    );
  const packed = chunks.filter(({ type }) => type === 'IDAT').map(({ data }) => data);
  if (holdsMore(packed, size))
    return faulty(
      'surplus',
      'the PNG picture holds more than the pixels that it promises: it is damaged; save it again',
    );
  const kept = chunks.filter(({ type }) => needed.has(type)).map(({ whole }) => whole);
  return decoded(joined([bytes.subarray(0, signatureLength), ...kept]));
}

export function cutOff(): ReturnType<typeof faulty> {
  return faulty('truncated', 'the PNG picture is damaged or ends too early: save or copy it again');
}

interface Chunk {
  readonly type: string;
  readonly data: Uint8Array;
  /** With length, type and checksum. */
  readonly whole: Uint8Array;
}

/** Null where one is cut off. */
function chunksOf(bytes: Uint8Array): readonly Chunk[] | null {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const chunks: Chunk[] = [];
  for (let at = signatureLength; at < bytes.length; ) {
    if (at + frameLength > bytes.length) return null;
    const end = at + frameLength + view.getUint32(at);
    if (end > bytes.length) return null;
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    chunks.push({ type, data: bytes.subarray(at + 8, end - 4), whole: bytes.subarray(at, end) });
    if (type === 'IEND') break;
    at = end;
  }
  return chunks;
}

/** The seven passes of interlacing: first column, distance of columns, first row, distance of rows. */
const passes = [
  [0, 8, 0, 8],
  [4, 8, 0, 8],
  [0, 4, 4, 8],
  [2, 4, 0, 4],
  [0, 2, 2, 4],
  [1, 2, 0, 2],
  [0, 1, 1, 2],
] as const;

/** Bytes of the picture before compression, with the filter's number before each row. */
function filteredBytes(header: Uint8Array): number {
  const view = new DataView(header.buffer, header.byteOffset, header.length);
  const [width, height] = [view.getUint32(0), view.getUint32(4)];
  const bits = view.getUint8(8) * (valuesOf[view.getUint8(9)] ?? 4);
  const rowsOf = (columns: number, rows: number): number =>
    columns > 0 ? rows * (1 + Math.ceil((columns * bits) / 8)) : 0;
  if (view.getUint8(12) === 0) return rowsOf(width, height);
  return passes.reduce((sum, [left, across, top, down]) => {
    const columns = Math.max(0, Math.ceil((width - left) / across));
    return sum + rowsOf(columns, Math.max(0, Math.ceil((height - top) / down)));
  }, 0);
}

/** Whether the compressed data hold more than `size` bytes. Damaged data hold nothing: the decoder says so. */
function holdsMore(packed: readonly Uint8Array[], size: number): boolean {
  let found = 0;
  const stream = new Unzlib((part) => {
    found += part.length;
  });
  try {
    for (const data of packed)
      for (let at = 0; at < data.length && found <= size; at += stride)
        stream.push(data.subarray(at, at + stride));
  } catch {
    return false;
  }
  return found > size;
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
