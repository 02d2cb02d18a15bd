import { type Decoded, decoded, faulty } from './file-fault.ts';

/** The channels of a WAV file; full scale is ±1, as the format has no unit. */
export interface WavAudio {
  /** All of one length. */
  readonly channels: readonly WavChannel[];
  /** Sampling rate, Hz. */
  readonly rate: number;
  /** Quantisation step of integer samples, as a part of full scale 1; 0 for floating point. */
  readonly step: number;
}

interface WavChannel {
  readonly samples: Float32Array | Float64Array;
  /** Integer samples on the lowest or highest code; 0 for floating point. */
  readonly clipped: number;
}

interface Format {
  readonly tag: number;
  readonly channels: number;
  readonly rate: number;
  readonly frameBytes: number;
  readonly bits: number;
}

const integer = 1;
const floating = 3;
const extensible = 0xfffe;

/**
 * Reads a WAV file: PCM of 8, 16, 24 or 32 bits, floating point of 32 or 64 bits, also in the extensible form.
 *
 * Input: the whole file. Output: channels relative to full scale, -1..1 for PCM.
 * Faults: not a WAV file; a chunk cut off; compressed samples; no samples.
 * Source: Multimedia Programming Interface and Data Specifications 1.0 (RIFF WAVE) and its extensible form (from memory);
 * checked against an independent writer in the tests.
 */
export function decodeWav(bytes: Uint8Array): Decoded<WavAudio> {
  if (bytes.length === 0) return faulty('empty', 'expected a WAV file, found no bytes');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const kind = text(bytes, 0);
  if (kind === 'RIFX' || kind === 'RF64')
    return faulty('unsupported', `the ${kind} form of WAV is not read: save it as plain RIFF`);
  if (kind !== 'RIFF' || text(bytes, 8) !== 'WAVE')
    return faulty(
      'not-this-format',
      'expected a WAV file, which begins with RIFF….WAVE; found other bytes: check the file and its ending',
    );
  const chunks = findChunks(bytes, view);
  if (!chunks.ok) return chunks;
  const { fmt, data } = chunks.value;
  const format = readFormat(bytes.subarray(...fmt));
  if (!format.ok) return format;
  return readSamples(bytes.subarray(...data), format.value);
}

type Span = readonly [from: number, to: number];

function findChunks(bytes: Uint8Array, view: DataView): Decoded<{ fmt: Span; data: Span }> {
  let fmt: Span | undefined;
  for (let at = 12; at + 8 <= bytes.length; ) {
    const name = text(bytes, at);
    const size = view.getUint32(at + 4, true);
    const span: Span = [at + 8, at + 8 + size];
    if (span[1] > bytes.length && (name === 'fmt ' || name === 'data'))
      return faulty(
        'truncated',
        `the WAV file promises ${size} bytes in its "${name.trim()}" chunk, found ${bytes.length - span[0]}: the file is truncated; copy it again`,
      );
    if (name === 'fmt ') fmt = span;
    if (name === 'data')
      return fmt
        ? decoded({ fmt, data: span })
        : faulty('not-this-format', 'the WAV file has samples before it says their format');
    // Chunks begin at even places.
    at = span[1] + (size % 2);
  }
  return faulty(
    'truncated',
    `the WAV file ends before its ${fmt ? '"data"' : '"fmt"'} chunk: it is truncated; copy it again`,
  );
}

function readFormat(chunk: Uint8Array): Decoded<Format> {
  if (chunk.length < 16)
    return faulty('truncated', `the WAV format chunk has ${chunk.length} bytes, 16 are needed`);
  const view = new DataView(chunk.buffer, chunk.byteOffset, chunk.length);
  const stated = view.getUint16(0, true);
  // The extensible form keeps the tag at the head of its 16-byte identifier.
  const tag = stated === extensible && chunk.length >= 26 ? view.getUint16(24, true) : stated;
  const format: Format = {
    tag,
    channels: view.getUint16(2, true),
    rate: view.getUint32(4, true),
    frameBytes: view.getUint16(12, true),
    bits: view.getUint16(14, true),
  };
  const known =
    tag === integer
      ? [8, 16, 24, 32].includes(format.bits)
      : tag === floating && [32, 64].includes(format.bits);
  if (!known)
    return faulty(
      'unsupported',
      `expected PCM of 8, 16, 24 or 32 bits or floating point of 32 or 64 bits, found format ${tag} of ${format.bits} bits: save it uncompressed`,
    );
  if (format.channels === 0 || format.frameBytes !== (format.channels * format.bits) / 8)
    return faulty(
      'not-this-format',
      `the WAV format chunk contradicts itself: ${format.channels} channels of ${format.bits} bits in frames of ${format.frameBytes} bytes`,
    );
  if (format.rate === 0)
    return faulty(
      'no-rate',
      'the WAV file states a sampling rate of 0 Hz: give the rate and save it again',
    );
  return decoded(format);
}

function readSamples(data: Uint8Array, format: Format): Decoded<WavAudio> {
  const { channels: count, frameBytes, bits, tag, rate } = format;
  const frames = Math.floor(data.length / frameBytes);
  if (frames === 0) return faulty('empty', 'the WAV file holds 0 samples: record something first');
  if (data.length % frameBytes !== 0)
    return faulty(
      'truncated',
      `the WAV file ends inside a frame: ${data.length} bytes are no multiple of ${frameBytes}; copy it again`,
    );
  const read = sampleReader(data, tag, bits);
  const ArrayType = bits > 24 && !(tag === floating && bits === 32) ? Float64Array : Float32Array;
  const step = tag === floating ? 0 : 2 ** (1 - bits);
  const channels = Array.from({ length: count }, (_, channel): WavChannel => {
    const samples = new ArrayType(frames);
    for (let k = 0; k < frames; k++) samples[k] = read(k * frameBytes + (channel * bits) / 8);
    return { samples, clipped: step === 0 ? 0 : countClipped(samples, step) };
  });
  return decoded({ channels, rate, step });
}

function sampleReader(data: Uint8Array, tag: number, bits: number): (at: number) => number {
  const view = new DataView(data.buffer, data.byteOffset, data.length);
  if (tag === floating)
    return bits === 32 ? (at) => view.getFloat32(at, true) : (at) => view.getFloat64(at, true);
  if (bits === 8) return (at) => (view.getUint8(at) - 128) / 128;
  if (bits === 16) return (at) => view.getInt16(at, true) / 2 ** 15;
  if (bits === 24)
    return (at) => (view.getUint16(at, true) + view.getInt8(at + 2) * 2 ** 16) / 2 ** 23;
  return (at) => view.getInt32(at, true) / 2 ** 31;
}

function countClipped(samples: Float32Array | Float64Array, step: number): number {
  let count = 0;
  for (const value of samples) if (value <= -1 || value >= 1 - step) count++;
  return count;
}

function text(bytes: Uint8Array, at: number): string {
  return String.fromCharCode(...bytes.subarray(at, at + 4));
}
