import type { RawCapture } from '../../harness/bench/ports.ts';
import type { DigitiserProfile } from './profile-schema.ts';

type Encoding = Exclude<DigitiserProfile['data']['encoding'], 'text'>;

const formats: Readonly<
  Record<Encoding, { readonly bytes: number; readonly lowest: number; readonly highest: number }>
> = {
  int8: { bytes: 1, lowest: -(2 ** 7), highest: 2 ** 7 - 1 },
  uint8: { bytes: 1, lowest: 0, highest: 2 ** 8 - 1 },
  int16: { bytes: 2, lowest: -(2 ** 15), highest: 2 ** 15 - 1 },
  uint16: { bytes: 2, lowest: 0, highest: 2 ** 16 - 1 },
  int32: { bytes: 4, lowest: -(2 ** 31), highest: 2 ** 31 - 1 },
  float32: {
    bytes: 4,
    lowest: Number.NEGATIVE_INFINITY,
    highest: Number.POSITIVE_INFINITY,
  },
};

/** Bytes of one sample. */
export function sampleBytes(encoding: Encoding): number {
  return formats[encoding].bytes;
}

/** The ends of an encoding: codes there are clipped unless the instrument names other ends. */
export function codeEnds(encoding: Encoding): {
  readonly lowest: number;
  readonly highest: number;
} {
  const { lowest, highest } = formats[encoding];
  return { lowest, highest };
}

/** Codes of a block whose length was checked. */
export function decodeSamples(
  block: Buffer,
  encoding: Encoding,
  order: 'little' | 'big',
): RawCapture['codes'] {
  const count = block.length / formats[encoding].bytes;
  const view = new DataView(block.buffer, block.byteOffset, block.byteLength);
  const little = order === 'little';
  switch (encoding) {
    case 'int8':
      return Int16Array.from({ length: count }, (_, at) => view.getInt8(at));
    case 'uint8':
      return Int16Array.from({ length: count }, (_, at) => view.getUint8(at));
    case 'int16':
      return filled(new Int16Array(count), (at) => view.getInt16(at * 2, little));
    case 'uint16':
      return filled(new Int32Array(count), (at) => view.getUint16(at * 2, little));
    case 'int32':
      return filled(new Int32Array(count), (at) => view.getInt32(at * 4, little));
    case 'float32':
      return filled(new Float32Array(count), (at) => view.getFloat32(at * 4, little));
  }
}

function filled<Codes extends Int16Array | Int32Array | Float32Array>(
  codes: Codes,
  value: (at: number) => number,
): Codes {
  for (let at = 0; at < codes.length; at++) codes[at] = value(at);
  return codes;
}
