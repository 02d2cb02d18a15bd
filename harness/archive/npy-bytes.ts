import { ArchiveError } from './archive-error.ts';

export type Codes = Int16Array | Int32Array | Float32Array;

/** NPY 1.0 header of a one-dimensional little-endian array, 128 bytes (NumPy NEP 1; confirmed in NumPy's format text). */
export function npyHeader(codes: Codes): Uint8Array {
  const text = `{'descr': '${descrOf(codes)}', 'fortran_order': False, 'shape': (${codes.length},), }`;
  const header = new Uint8Array(128).fill(0x20);
  header.set([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0, 118, 0]);
  header.set(new TextEncoder().encode(text), 10);
  header[127] = 0x0a;
  return header;
}

function descrOf(codes: Codes): string {
  if (codes instanceof Int16Array) return '<i2';
  return codes instanceof Int32Array ? '<i4' : '<f4';
}

export function readNpy(bytes: Uint8Array, path: string): Codes {
  const text = new TextDecoder('latin1').decode(bytes.subarray(0, 128));
  const found = /'descr': '(<i2|<i4|<f4)', 'fortran_order': False, 'shape': \((\d+),\)/.exec(text);
  const body = Uint8Array.from(bytes.subarray(128));
  const length = Number(found?.[2]);
  if (!found || body.length !== length * (found[1] === '<i2' ? 2 : 4)) {
    throw new ArchiveError('damaged', `${path} is not a whole NPY file of one dimension`);
  }
  if (found[1] === '<i2') return new Int16Array(body.buffer, 0, length);
  if (found[1] === '<i4') return new Int32Array(body.buffer, 0, length);
  return new Float32Array(body.buffer, 0, length);
}
