import { readCsv } from './csv.ts';
import { type Decoded, decoded, faulty } from './file-fault.ts';
import { decodeNpy } from './npy.ts';
import { firstOverload, overloadAdvice } from './overload-mark.ts';
import { decodeWav } from './wav.ts';

/** One column, channel or array of a waveform file, as it is written there. */
export interface FileColumn {
  readonly name: string;
  /** Unit that the file states; null where it states none. */
  readonly unit: string | null;
  readonly samples: Float32Array | Float64Array;
  /** Samples on an end of `range`. */
  readonly clipped: number;
  readonly step: number;
  /** Values at or beyond these are clipped, where the format says so. */
  readonly range?: CodeRange;
}

/** Ends of a converter's range, in the file's own unit. */
export interface CodeRange {
  readonly low: number;
  readonly high: number;
}

/**
 * The range of codes as a record can be clipped by it. Code 0 at the low end is darkness and no overload: no light lies
 * below it.
 */
export function clippingRange({ low, high }: CodeRange): CodeRange {
  return { low: low < 0 ? low : Number.NEGATIVE_INFINITY, high };
}

/** How many samples lie on or beyond the ends of a range. */
export function clippedIn(samples: FileColumn['samples'], { low, high }: CodeRange): number {
  let count = 0;
  for (let k = 0; k < samples.length; k++) {
    const value = samples[k] ?? 0;
    if (value <= low || value >= high) count++;
  }
  return count;
}

export interface WaveformFile {
  readonly format: 'CSV' | 'WAV' | 'NPY' | 'capture';
  readonly rate: number;
  /** First instant on the file's own time axis, s. */
  readonly start: number;
  readonly columns: readonly FileColumn[];
}

/**
 * The samples of a waveform file of any kind that is known; the content decides, not the name.
 *
 * Inputs: the whole file, and the sampling rate in Hz where the file states none. Faults: those of its format, no rate, and
 * an instrument's mark in place of a sample.
 */
export function decodeWaveform(bytes: Uint8Array, rate: number | undefined): Decoded<WaveformFile> {
  if (bytes.length === 0)
    return faulty(
      'empty',
      'expected a CSV, WAV or NPY file, found no bytes: record something first',
    );
  if (bytes[0] === 0x93 && bytes[1] === 0x4e) return fromNpy(bytes, rate);
  const head = String.fromCharCode(...bytes.subarray(0, 4));
  if (head === 'RIFF' || head === 'RIFX' || head === 'RF64') return fromWav(bytes, rate);
  return fromText(bytes, rate);
}

function fromNpy(bytes: Uint8Array, rate: number | undefined): Decoded<WaveformFile> {
  const result = decodeNpy(bytes);
  if (!result.ok) return result;
  if (rate === undefined)
    return faulty(
      'no-rate',
      'an NPY file states no sampling rate: give it, as in --rate "10 kS/s"',
    );
  const { samples, ends } = result.value;
  const real =
    samples instanceof Float32Array || samples instanceof Float64Array
      ? samples
      : Float64Array.from(samples as ArrayLike<number | bigint>, Number);
  const range = ends && clippingRange(ends);
  const column = {
    name: 'samples',
    unit: null,
    samples: real,
    step: ends ? 1 : 0,
    clipped: range ? clippedIn(real, range) : 0,
    ...(range && { range }),
  };
  return withoutOverload({ format: 'NPY', rate, start: 0, columns: [column] });
}

function fromWav(bytes: Uint8Array, rate: number | undefined): Decoded<WaveformFile> {
  const result = decodeWav(bytes);
  if (!result.ok) return result;
  const { channels, rate: stated, step } = result.value;
  if (rate !== undefined && Math.abs(rate / stated - 1) > 1e-3)
    return faulty(
      'rate-conflict',
      `the WAV file says ${stated} Hz, the given rate is ${rate} Hz: leave --rate out`,
    );
  const columns = channels.map(({ samples, clipped }, k) => ({
    name: `channel ${k + 1}`,
    unit: null,
    samples,
    clipped,
    step,
    ...(step > 0 && { range: { low: -1, high: 1 - step } }),
  }));
  return withoutOverload({ format: 'WAV', rate: stated, start: 0, columns });
}

/** Floating point may hold marks in place of samples. */
function withoutOverload(file: WaveformFile): Decoded<WaveformFile> {
  for (const { name, samples } of file.columns) {
    const mark = firstOverload(samples);
    if (mark)
      return faulty('overload', `sample ${mark.index + 1} of "${name}": ${overloadAdvice(mark)}`);
  }
  return decoded(file);
}

/** Bytes of a table: ten minutes of a light at 20 kS/s take about this. */
const longestText = 256 * 2 ** 20;

function fromText(bytes: Uint8Array, rate: number | undefined): Decoded<WaveformFile> {
  if (bytes.length > longestText)
    return faulty(
      'too-large',
      `expected at most ${longestText / 2 ** 20} MiB of text, found ${Math.round(bytes.length / 2 ** 20)} MiB: record it as NPY, or cut the part out that is meant`,
    );
  const encoding = bytes[0] === 0xff && bytes[1] === 0xfe ? 'utf-16le' : 'utf-8';
  const text = new TextDecoder(encoding).decode(bytes);
  if (text.includes('\0'))
    return faulty(
      'not-this-format',
      'expected a CSV, WAV or NPY file, found other binary content: export the record in one of these formats',
    );
  const result = readCsv(text, rate);
  if (!result.ok) return result;
  const { columns, start } = result.value;
  return decoded({
    format: 'CSV',
    rate: result.value.rate,
    start,
    columns: columns.map((column) => ({ ...column, clipped: 0 })),
  });
}
