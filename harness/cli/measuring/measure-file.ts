import { readFile } from 'node:fs/promises';
import type { FileFault } from '../../files/file-fault.ts';
import { decodeWaveform, type WaveformFile } from '../../files/waveform-file.ts';
import { Complaint } from '../../workflow/complaint.ts';

/**
 * Reads a waveform file of any kind that is known; the content decides, not the name. `-` is the standard input.
 * Throws a Complaint that names file, line and column.
 */
export async function readWaveformFile(
  path: string,
  rate: number | undefined,
): Promise<WaveformFile> {
  const bytes = await readBytes(path);
  const result = decodeWaveform(bytes, rate);
  if (result.ok) return result.value;
  throw new Complaint('bad-file', `${placeOf(path, result.fault)}: ${result.fault.message}`);
}

async function readBytes(path: string): Promise<Uint8Array> {
  try {
    return await readFile(path === '-' ? '/dev/stdin' : path);
  } catch (error) {
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

function placeOf(path: string, { line, column }: FileFault): string {
  return [path === '-' ? 'standard input' : path, line, column]
    .filter((part) => part !== undefined)
    .join(':');
}
