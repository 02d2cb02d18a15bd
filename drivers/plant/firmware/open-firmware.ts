import type { Firmware } from './firmware.ts';
import { type FirmwareImage, firmwareImage } from './firmware-image.ts';
import { MainLoopFirmware } from './main-loop-firmware.ts';
import { WasmFirmware } from './wasm-firmware.ts';

/** A user's build: its bytes and the name that reports show. */
export interface FirmwareBuild {
  readonly name: string;
  readonly bytes: Uint8Array;
}

/**
 * A user's firmware for one simulated lamp. Throws FirmwareLoadError when the build cannot be a lamp's firmware.
 * `heartbeat` is 8 shared bytes by which another thread can see an endless loop; see Heartbeat.
 */
export function openFirmware(build: FirmwareBuild, heartbeat?: SharedArrayBuffer): Firmware {
  const image = imageOf(build);
  return image.style === 'main-loop'
    ? new MainLoopFirmware(image)
    : new WasmFirmware(image, heartbeat);
}

/** A worker opens the same build once a condition; it is compiled once. */
const images = new WeakMap<Uint8Array, FirmwareImage>();

function imageOf({ bytes, name }: FirmwareBuild): FirmwareImage {
  const known = images.get(bytes);
  if (known) return known;
  const image = firmwareImage(bytes, name);
  images.set(bytes, image);
  return image;
}
