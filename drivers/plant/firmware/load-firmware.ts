import {
  compiled,
  type FirmwareImage,
  FirmwareLoadError,
  firmwareImage,
} from './firmware-image.ts';
import { unwindable } from './unwindable.ts';

/**
 * A user's build, ready to run. One with a main loop is rewritten, so that it can be left where it waits. Rejects with
 * FirmwareLoadError when the build cannot be a lamp's firmware. `name` is what reports show.
 */
export async function loadFirmware(bytes: Uint8Array, name: string): Promise<FirmwareImage> {
  const image = firmwareImage(bytes, name);
  if (image.style === 'ticks') return image;
  try {
    return { ...image, module: compiled(await unwindable(bytes), name) };
  } catch (error) {
    throw new FirmwareLoadError(
      `${name} has a main loop that cannot be left where it waits (${(error as Error).message}). Build it without exceptions and tail calls, or drive it by ticks (lamp-port.h).`,
      { cause: error },
    );
  }
}
