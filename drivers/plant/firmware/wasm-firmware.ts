import type { Firmware, LampHardware, LinkInput } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { entryOf } from './link-entry.ts';
import { type ProgramWatch, WasmProgram } from './wasm-program.ts';

/** Firmware in WebAssembly that is driven by ticks, called straight from the simulation. */
export class WasmFirmware implements Firmware {
  readonly kind = 'wasm';
  readonly name: string;
  readonly digest: string;
  readonly takesDatagrams: boolean;
  readonly #program: WasmProgram;

  constructor(image: FirmwareImage, watch: ProgramWatch = {}) {
    this.name = image.name;
    this.digest = image.digest;
    this.takesDatagrams = image.takesDatagrams;
    const wait = () => {
      throw new Error('it called lamp_wait_for_interrupt(), but the build exports no lamp_main()');
    };
    this.#program = new WasmProgram(image, { ...watch, wait });
  }

  start(hardware: LampHardware): void {
    this.#program.start(hardware, () => this.#program.call('lamp_init'));
  }

  tick(): boolean {
    let idle = false;
    this.#program.run(() => {
      idle = this.#program.call('lamp_tick') === 1;
    });
    return idle;
  }

  receive(input: LinkInput): void {
    this.#program.lend(input);
    this.#program.run(() => this.#program.call(...entryOf(input)));
  }

  dispose(): void {
    this.#program.dispose();
  }
}
