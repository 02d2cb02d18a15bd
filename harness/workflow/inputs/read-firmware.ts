import { basename, resolve } from 'node:path';
import {
  FirmwareLoadError,
  firmwareImage,
} from '../../../drivers/plant/firmware/firmware-image.ts';
import type { FirmwareBuild } from '../../../drivers/plant/firmware/open-firmware.ts';
import { Complaint } from '../complaint.ts';
import { readBytes, TooManyBytes } from './read-bytes.ts';

/** Builds of lamps take kilobytes; debug information makes some of them thousands. */
const mostBytes = 64 * 2 ** 20;

/**
 * Reads a WebAssembly build of the user's firmware. Throws a Complaint where it is missing or cannot run: a bad file,
 * known before anything starts, not a failing lamp.
 */
export function readFirmware(file: string, cwd: string): FirmwareBuild {
  try {
    const bytes = readBytes(resolve(cwd, file), mostBytes);
    const name = basename(file);
    firmwareImage(bytes, name);
    return { name, bytes };
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
