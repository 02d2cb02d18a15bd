import type { Firmware } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { MainLoopFirmware } from './main-loop-firmware.ts';
import { PreemptedFirmware } from './preempted-firmware.ts';
import { WasmFirmware } from './wasm-firmware.ts';
import type { CopyListener } from './wasm-program.ts';

/**
 * A user's firmware for one simulated lamp. `heartbeat` is shared bytes (`heartbeatBytes`) by which another thread can see an endless
 * loop; see Heartbeat. `loaded` is told of each copy of the program.
 */
export function openFirmware(
  image: FirmwareImage,
  heartbeat?: SharedArrayBuffer,
  loaded?: CopyListener,
): Firmware {
  if (image.style === 'ticks') return new WasmFirmware(image, heartbeat, loaded);
  if (image.preemptible) return new PreemptedFirmware(image, heartbeat);
  return new MainLoopFirmware(image, heartbeat, loaded);
}
