import { type Decoded, decoded, faulty } from './file-fault.ts';

/** Arrays that NPY files are written from. */
export type NpySource = Float32Array | Float64Array | Int16Array | Int32Array;

/** A one-dimensional array out of an NPY file, in the machine's byte order. */
export interface NpyArray {
  readonly samples:
    | NpySource
    | Int8Array
    | Uint8Array
    | Uint16Array
    | Uint32Array
    | BigInt64Array
    | BigUint64Array;
  /** As in the header, e.g. `<f4`. */
  readonly descr: string;
  /** The codes at which an integer type ends; absent for floating point. */
  readonly ends?: { readonly low: number; readonly high: number };
}

const magic = [0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59];

const arrayTypes = {
  f4: Float32Array,
  f8: Float64Array,
  i1: Int8Array,
  i2: Int16Array,
  i4: Int32Array,
  i8: BigInt64Array,
  u1: Uint8Array,
  u2: Uint16Array,
  u4: Uint32Array,
  u8: BigUint64Array,
} as const;

/**
 * The bytes of an NPY file, version 1.0: one dimension, little endian, header padded to a multiple of 64 bytes.
 *
 * Source: NPY format specification, NEP 1, as documented with the array library (confirmed).
 */
export function encodeNpy(samples: NpySource): Uint8Array {
  const header = npyHeader(samples);
  const file = new Uint8Array(header.length + samples.byteLength);
  file.set(header);
  file.set(new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength), header.length);
  return file;
}

/** The header alone, for writers that stream the samples after it. Always 128 bytes for up to 1e15 samples. */
export function npyHeader(samples: NpySource): Uint8Array {
  const kind = samples instanceof Float32Array || samples instanceof Float64Array ? 'f' : 'i';
  const descr = `<${kind}${samples.BYTES_PER_ELEMENT}`;
  const dictionary = `{'descr': '${descr}', 'fortran_order': False, 'shape': (${samples.length},), }`;
  const total = 128;
  const text = `${dictionary.padEnd(total - 10 - 1)}\n`;
  const header = new Uint8Array(total);
  header.set([...magic, 1, 0]);
  new DataView(header.buffer).setUint16(8, text.length, true);
  header.set(new TextEncoder().encode(text), 10);
  return header;
}

/**
 * Reads an NPY file of version 1, 2 or 3 with real numbers in one dimension, little or big endian.
 *
 * Input: the whole file. Output: its array; values are not converted. A second dimension of length 1 is tolerated.
 * Faults: not an NPY file; truncated or longer than its shape says; Python objects, records, strings, complex or
 * half-precision numbers; more than one dimension; no samples.
 * Source: as for `encodeNpy`.
 */
export function decodeNpy(bytes: Uint8Array): Decoded<NpyArray> {
  if (bytes.length === 0) return faulty('empty', 'expected an NPY file, found no bytes');
  if (!magic.every((byte, k) => bytes[k] === byte))
    return faulty(
      'not-this-format',
      'expected an NPY file, which begins with \\x93NUMPY; found other bytes: check the file and its ending',
    );
  const located = locateHeader(bytes);
  if (!located.ok) return located;
  const { text, dataStart } = located.value;
  const parsed = parseHeader(text);
  if (!parsed.ok) return parsed;
  const { descr, count } = parsed.value;
  const ArrayType = arrayTypes[descr.slice(1) as keyof typeof arrayTypes];
  const expected = count * ArrayType.BYTES_PER_ELEMENT;
  const found = bytes.length - dataStart;
  if (found !== expected) return wrongLength(descr, count, expected, found);
  if (count === 0) return faulty('empty', 'the NPY file holds 0 samples: record something first');
  // A copy, so that the view is aligned and the byte order can be turned in place. (A Buffer's slice is none.)
  const data = new Uint8Array(bytes.subarray(dataStart));
  if (isForeign(descr)) reverseEach(data, ArrayType.BYTES_PER_ELEMENT);
  const ends = typeEnds(descr);
  return decoded({
    samples: new ArrayType(data.buffer, 0, count),
    descr,
    ...(ends && { ends }),
  });
}

/** Lowest and highest code of an integer type, or null for floating point. */
function typeEnds(descr: string): { low: number; high: number } | null {
  const bits = 8 * Number(descr.slice(2));
  if (descr[1] === 'u') return { low: 0, high: 2 ** bits - 1 };
  return descr[1] === 'i' ? { low: -(2 ** (bits - 1)), high: 2 ** (bits - 1) - 1 } : null;
}

function locateHeader(bytes: Uint8Array): Decoded<{ text: string; dataStart: number }> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const major = bytes[6];
  if (bytes.length < 12) return faulty('truncated', 'the NPY file ends inside its header');
  if (major !== 1 && major !== 2 && major !== 3)
    return faulty('unsupported', `NPY version ${major} is not known: save it as version 1, 2 or 3`);
  const textStart = major === 1 ? 10 : 12;
  const length = major === 1 ? view.getUint16(8, true) : view.getUint32(8, true);
  const dataStart = textStart + length;
  if (bytes.length < dataStart)
    return faulty(
      'truncated',
      `the NPY file ends inside its header: ${dataStart} bytes expected, ${bytes.length} found`,
    );
  const encoding = major === 3 ? 'utf-8' : 'latin1';
  return decoded({
    text: new TextDecoder(encoding).decode(bytes.subarray(textStart, dataStart)),
    dataStart,
  });
}

function parseHeader(text: string): Decoded<{ descr: string; count: number }> {
  const descr = /['"]descr['"]\s*:\s*(?:['"]([^'"]*)['"]|(\[))/.exec(text);
  const order = /['"]fortran_order['"]\s*:\s*(True|False)/.exec(text);
  const shape = /['"]shape['"]\s*:\s*\(([^)]*)\)/.exec(text);
  if (!descr || !order || !shape)
    return faulty(
      'not-this-format',
      'the NPY header lacks descr, fortran_order or shape: the file is damaged; save it again',
    );
  const type = descr[1] ?? '';
  const [, lengths = ''] = shape;
  const refused = refusedType(type);
  if (refused)
    return faulty(
      'unsupported',
      `expected real numbers in the NPY file, found ${refused}: save it with .astype('<f4')`,
    );
  const axes = lengths.split(',').flatMap((part) => (part.trim() === '' ? [] : [Number(part)]));
  if (!axes.every((length) => Number.isSafeInteger(length) && length >= 0))
    return faulty('not-this-format', `the NPY header has the shape (${lengths}): it is damaged`);
  if (axes.length === 0 || axes.filter((length) => length !== 1).length > 1)
    return faulty(
      'unsupported',
      `expected one dimension in the NPY file, found the shape (${axes.join(', ')})${order[1] === 'True' ? ' in Fortran order' : ''}: save one column, as in array[:, 0]`,
    );
  return decoded({ descr: type, count: axes.reduce((product, length) => product * length, 1) });
}

/** Words for a type that is not read, or null for one that is. */
function refusedType(descr: string): string | null {
  if (descr === '') return 'a record of several fields';
  if (/^\|?O/.test(descr)) return 'Python objects';
  const kind = descr.slice(1);
  if (/^[<>=|]/.test(descr) && kind in arrayTypes) return null;
  if (/^.c/.test(descr)) return `complex numbers (${descr})`;
  return `the type ${descr}`;
}

function wrongLength(
  descr: string,
  count: number,
  expected: number,
  found: number,
): ReturnType<typeof faulty> {
  const short = found < expected;
  return faulty(
    short ? 'truncated' : 'surplus',
    `the NPY header promises ${count} samples of ${descr}, ${expected} bytes; found ${found}: ${short ? 'the file is truncated; copy it again' : 'something else follows the array; save one array a file'}`,
  );
}

function isForeign(descr: string): boolean {
  const littleMachine = new Uint8Array(Uint16Array.of(1).buffer)[0] === 1;
  return descr.startsWith(littleMachine ? '>' : '<');
}

function reverseEach(bytes: Uint8Array, width: number): void {
  for (let at = 0; at < bytes.length; at += width) bytes.subarray(at, at + width).reverse();
}
