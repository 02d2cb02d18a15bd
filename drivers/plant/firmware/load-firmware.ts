import {
  compiled,
  type FirmwareImage,
  FirmwareLoadError,
  firmwareImage,
} from './firmware-image.ts';
import { countInstructions } from './instruction-counter.ts';
import { pausingBuild } from './pausing-build.ts';
import { unwindable } from './unwindable.ts';
import { WasmModule } from './wasm-module.ts';

/**
 * A user's build, ready to run. One with a main loop is rewritten, so that it can be left where it waits. Rejects with
 * FirmwareLoadError when the build cannot be a lamp's firmware. `name` is what reports show. With `counted` it counts the
 * instructions that it carries out, for a processor of known speed; with `preemptible` its main loop can be left between them, too.
 */
export async function loadFirmware(
  bytes: Uint8Array,
  name: string,
  {
    counted = false,
    preemptible = false,
  }: { readonly counted?: boolean; readonly preemptible?: boolean } = {},
): Promise<FirmwareImage> {
  if (!preemptible) return loadRewritten(bytes, name, counted ? countInstructions : null);
  const { style } = firmwareImage(bytes, name);
  if (style === 'ticks')
    return { ...(await loadRewritten(bytes, name, countInstructions)), preemptible };
  const image = await loadRewritten(bytes, name, pausingBuild);
  return { ...image, functionNames: namesWithPause(bytes, image), preemptible };
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

/** Names by the numbers that functions have once the lamp's pause is imported in front of them: that of the build where it has none. */
function namesWithPause(
  bytes: Uint8Array,
  { functionNames }: Pick<FirmwareImage, 'functionNames'>,
): ReadonlyMap<number, string> {
  const { imported, nextFunction } = new WasmModule(bytes);
  const names = new Map<number, string>();
  for (let number = 0; number < nextFunction; number++)
    names.set(
      number < imported ? number : number + 1,
      functionNames.get(number) ?? `function ${number}`,
    );
  return names;
}
