import { basename, resolve } from 'node:path';
import { type CountedImage, loadCounted } from '../../../drivers/plant/firmware/edge-coverage.ts';
import {
  type FirmwareImage,
  FirmwareLoadError,
} from '../../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../../drivers/plant/firmware/load-firmware.ts';
import type { Lamp } from '../../bench/lamp.ts';
import { Complaint } from '../complaint.ts';
import { readBytes, TooManyBytes } from './read-bytes.ts';

/** Builds of lamps take kilobytes; debug information makes some of them thousands. */
const mostBytes = 64 * 2 ** 20;

/**
 * Reads a WebAssembly build of the user's firmware. Rejects with a Complaint where it is missing or cannot run: a bad file,
 * known before anything starts, not a failing lamp.
 */
export async function readFirmware(
  file: string,
  cwd: string,
  lamp: Pick<Lamp, 'processor'>,
): Promise<FirmwareImage> {
  const { processor } = lamp;
  const how = {
    counted: processor?.speed !== undefined,
    preemptible: processor?.preemptive ?? false,
  };
  return readBuild(file, cwd, (bytes, name) => loadFirmware(bytes, name, how));
}

/** The same, with a counter on each edge of its control flow. */
export async function readCountedFirmware(file: string, cwd: string): Promise<CountedImage> {
  return readBuild(file, cwd, loadCounted);
}

async function readBuild<Image>(
  file: string,
  cwd: string,
  load: (bytes: Uint8Array, name: string) => Promise<Image>,
): Promise<Image> {
  try {
    const bytes = readBytes(resolve(cwd, file), mostBytes);
    return await load(bytes, basename(file));
  } catch (error) {
    if (error instanceof FirmwareLoadError) throw new Complaint('bad-file', error.message);
    if (error instanceof TooManyBytes)
      throw new Complaint('bad-file', `${file}: ${error.message}`, { cause: error });
    const code = (error as NodeJS.ErrnoException).code ?? 'unreadable';
    throw new Complaint(
      'no-input',
      `expected a WebAssembly build of the firmware at ${file}, found none (${code})`,
    );
  }
}
