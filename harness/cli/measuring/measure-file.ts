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
  const result = decodeWaveform(bytes, rate);
  if (result.ok) return result.value;
  throw new Complaint('bad-file', `${placeOf(path, result.fault)}: ${result.fault.message}`);
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
