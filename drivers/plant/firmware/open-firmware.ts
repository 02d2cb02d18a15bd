import type { Firmware } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { MainLoopFirmware } from './main-loop-firmware.ts';
import { WasmFirmware } from './wasm-firmware.ts';

/**
 * A user's firmware for one simulated lamp. `heartbeat` is shared bytes (`heartbeatBytes`) by which another thread can see an endless
 * loop; see Heartbeat.
 */
export function openFirmware(image: FirmwareImage, heartbeat?: SharedArrayBuffer): Firmware {
  return image.style === 'main-loop'
    ? new MainLoopFirmware(image, heartbeat)
    : new WasmFirmware(image, heartbeat);
}
