import {
  compiled,
  type FirmwareImage,
  FirmwareLoadError,
  firmwareImage,
} from './firmware-image.ts';
import { countInstructions } from './instruction-counter.ts';
import { unwindable } from './unwindable.ts';

/**
 * A user's build, ready to run. One with a main loop is rewritten, so that it can be left where it waits. Rejects with
 * FirmwareLoadError when the build cannot be a lamp's firmware. `name` is what reports show. With `counted` it counts the
 * instructions that it carries out, for a processor of known speed.
 */
export async function loadFirmware(
  bytes: Uint8Array,
  name: string,
  { counted = false }: { readonly counted?: boolean } = {},
): Promise<FirmwareImage> {
  const image = firmwareImage(bytes, name);
  const code = counted ? countInstructions(bytes) : bytes;
  if (image.style === 'ticks') return counted ? { ...image, module: compiled(code, name) } : image;
  try {
    return { ...image, module: compiled(await unwindable(code), name) };
  } catch (error) {
    throw new FirmwareLoadError(
      `${name} has a main loop that cannot be left where it waits (${(error as Error).message}). Build it smaller, without exceptions and tail calls, or drive it by ticks (lamp-port.h).`,
      { cause: error },
    );
  }
}
