import { ArchiveError } from '../../archive/archive-error.ts';
import {
  isPackedCapture,
  type StoredCapture,
  samplesOf,
  unpackCapture,
} from '../../archive/capture-file.ts';
import type { FileFault } from '../../files/file-fault.ts';
import { decodeWaveform, type WaveformFile } from '../../files/waveform-file.ts';
import { Complaint } from '../../workflow/complaint.ts';
import { readBytes, readStream, TooManyBytes } from '../../workflow/inputs/read-bytes.ts';

/** An hour of a light at 20 kS/s in single precision is 288 MB. */
const mostBytes = 512 * 2 ** 20;

/**
 * Reads a waveform file of any kind that is known; the content decides, not the name. `-` is the standard input.
 * Throws a Complaint that names file, line and column.
 */
export async function readWaveformFile(
  path: string,
  rate: number | undefined,
): Promise<WaveformFile> {
  const bytes = await bytesOf(path);
  if (isPackedCapture(bytes)) return captureFile(bytes, path, rate);
  const result = decodeWaveform(bytes, rate);
  if (result.ok) return result.value;
  throw new Complaint('bad-file', `${placeOf(path, result.fault)}: ${result.fault.message}`);
}

/** A capture of a stored run, in its unit. */
function captureFile(bytes: Uint8Array, path: string, rate: number | undefined): WaveformFile {
  const capture = unpackedOr(bytes, path);
  const { codes, scale, dt_s, t0_s, unit, signal, clipped } = capture;
  if (rate !== undefined && Math.abs(rate * dt_s - 1) > 1e-3) {
    const text = `${path}: the capture says ${1 / dt_s} Hz, the given rate is ${rate} Hz: leave --rate out`;
    throw new Complaint('bad-file', text);
  }
  const samples = samplesOf(capture);
  const step = codes instanceof Float32Array ? 0 : Math.abs(scale);
  const column = { name: signal, unit, samples, clipped, step };
  return { format: 'capture', rate: 1 / dt_s, start: t0_s, columns: [column] };
}

function unpackedOr(bytes: Uint8Array, path: string): StoredCapture {
  try {
    return unpackCapture(bytes, path);
  } catch (error) {
    if (!(error instanceof ArchiveError)) throw error;
    throw new Complaint('bad-file', error.message, { cause: error });
  }
}

async function bytesOf(path: string): Promise<Uint8Array> {
  try {
    return path === '-' ? await readStream(process.stdin, mostBytes) : readBytes(path, mostBytes);
  } catch (error) {
    if (error instanceof TooManyBytes)
      throw new Complaint('bad-file', `${placeOf(path, {})}: ${error.message}`, { cause: error });
    const { code, message } = error as NodeJS.ErrnoException;
    const why =
      code === 'ENOENT'
        ? 'there is no such file'
        : code === 'EISDIR'
          ? 'it is a folder; name a CSV, WAV or NPY file in it'
          : message;
    throw new Complaint('no-input', `${path}: expected a waveform file, but ${why}`, {
      cause: error,
    });
  }
}

function placeOf(path: string, { line, column }: Pick<FileFault, 'line' | 'column'>): string {
  return [path === '-' ? 'standard input' : path, line, column]
    .filter((part) => part !== undefined)
    .join(':');
}
