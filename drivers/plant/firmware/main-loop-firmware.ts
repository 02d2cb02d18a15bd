import type { Firmware, LampHardware, LinkInput } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { entryOf, type PortEntry } from './link-entry.ts';
import { runUntilLeft } from './run-until-left.ts';
import { UnwoundFrames } from './unwound-frames.ts';
import { type ProgramWatch, WasmProgram } from './wasm-program.ts';

/**
 * Firmware in WebAssembly with a main loop of its own, which is left whenever it waits for an interrupt. An interrupt is
 * called straight; then the main loop goes on behind its wait until the next one. No virtual time passes meanwhile.
 */
export class MainLoopFirmware implements Firmware {
  readonly kind = 'wasm';
  readonly name: string;
  readonly digest: string;
  readonly takesDatagrams: boolean;
  readonly #program: WasmProgram;
  #frames: UnwoundFrames | null = null;
  /** lamp_main() runs, and not an interrupt. */
  #inMain = false;
  #idle = false;

  /** `image` is of a build that `unwindable` rewrote. */
  constructor(image: FirmwareImage, watch: ProgramWatch = {}) {
    this.name = image.name;
    this.digest = image.digest;
    this.takesDatagrams = image.takesDatagrams;
    this.#program = new WasmProgram(image, { ...watch, wait: (idle) => this.#wait(idle) });
  }

  start(hardware: LampHardware): void {
    this.#program.start(hardware, () => {
      this.#frames = new UnwoundFrames(this.#program.exports);
      this.#inMain = false;
      this.#program.call('lamp_init');
      this.#runMain(this.#frames);
    });
  }

  tick(): boolean {
    this.#interrupt('lamp_tick');
    return this.#idle;
  }

  receive(input: LinkInput): void {
    this.#program.lend(input);
    this.#interrupt(...entryOf(input));
  }

  dispose(): void {
    this.#frames = null;
    this.#program.dispose();
  }

  #interrupt(name: PortEntry, ...numbers: readonly number[]): void {
    this.#program.run(() => {
      this.#program.call(name, ...numbers);
      const frames = this.#frames;
      if (!frames) return;
      frames.enter();
      this.#runMain(frames);
    });
  }

  /** From where it is to its next wait. */
  #runMain(frames: UnwoundFrames): void {
    this.#inMain = true;
    try {
      runUntilLeft(this.#program, frames, () => this.#program.call('lamp_main'), [
        'lamp_wait_for_interrupt()',
        'wait higher up, or keep them in static variables',
      ]);
    } finally {
      this.#inMain = false;
    }
  }

  #wait(idle: boolean): void {
    const frames = this.#frames;
    if (!this.#inMain || !frames)
      throw new Error('it called lamp_wait_for_interrupt(), which is for lamp_main() alone');
    if (frames.entering) {
      frames.entered();
      return;
    }
    this.#idle = idle;
    frames.leave();
  }
}
