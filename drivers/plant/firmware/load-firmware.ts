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
  return loadRewritten(bytes, name, counted ? countInstructions : null);
}

/** Like loadFirmware, of a build to which `rewrite` adds instructions that count. Its digest and its names are the build's. */
export async function loadRewritten(
  bytes: Uint8Array,
  name: string,
  rewrite: ((bytes: Uint8Array) => Uint8Array) | null,
): Promise<FirmwareImage> {
  const image = firmwareImage(bytes, name);
  const code = rewrite ? rewrite(bytes) : bytes;
  if (image.style === 'ticks') return rewrite ? rewrittenImage(image, code) : image;
  try {
    return rewrittenImage(image, await unwindable(code));
  } catch (error) {
    throw new FirmwareLoadError(
      `${name} has a main loop that cannot be left where it waits (${(error as Error).message}). Build it smaller, without exceptions and tail calls, or drive it by ticks (lamp-port.h).`,
      { cause: error },
    );
  }
}

/** The image of a build that runs as another module, which was made from it. */
function rewrittenImage(image: FirmwareImage, code: Uint8Array): FirmwareImage {
  const { module, bytes } = compiled(code, image.name);
  return {
    ...image,
    module,
    ...(image.debug ? { debug: { build: image.debug.build, running: bytes } } : {}),
  };
}
