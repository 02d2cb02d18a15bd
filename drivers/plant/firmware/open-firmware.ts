import type { Firmware } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { MainLoopFirmware } from './main-loop-firmware.ts';
import { PreemptedFirmware } from './preempted-firmware.ts';
import { WasmFirmware } from './wasm-firmware.ts';
import type { ProgramWatch } from './wasm-program.ts';

/** A user's firmware for one simulated lamp. */
export function openFirmware(image: FirmwareImage, watch: ProgramWatch = {}): Firmware {
  if (image.style === 'ticks') return new WasmFirmware(image, watch);
  if (image.preemptible) return new PreemptedFirmware(image, watch);
  return new MainLoopFirmware(image, watch);
}
