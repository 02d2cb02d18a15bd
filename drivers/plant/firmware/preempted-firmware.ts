import type { Firmware, LampHardware, LinkInput, MainLoop } from './firmware.ts';
import type { FirmwareImage } from './firmware-image.ts';
import { entryOf, type PortEntry } from './link-entry.ts';
import { redZone, stackPointer } from './preemption-points.ts';
import { runUntilLeft } from './run-until-left.ts';
import { UnwoundFrames } from './unwound-frames.ts';
import { type ProgramWatch, WasmProgram } from './wasm-program.ts';

/**
 * Firmware in WebAssembly with a main loop that interrupts preempt: its work is done in pieces, from one interrupt to the next.
 * Between two pieces it is left wherever it paused; an interrupt is called straight, and never interrupted itself.
 */
export class PreemptedFirmware implements Firmware, MainLoop {
  readonly kind = 'wasm';
  readonly name: string;
  readonly digest: string;
  readonly takesDatagrams: boolean;
  readonly mainLoop: MainLoop = this;
  readonly #program: WasmProgram;
  #frames: UnwoundFrames | null = null;
  #inMain = false;
  #begun = false;
  #sleeping = false;
  #idle = false;
  #masked = false;
  #pending = false;

  /** `image` is of a build that `pausingBuild` and `unwindable` rewrote. */
  constructor(image: FirmwareImage, watch: ProgramWatch = {}) {
    this.name = image.name;
    this.digest = image.digest;
    this.takesDatagrams = image.takesDatagrams;
    this.#program = new WasmProgram(image, {
      ...watch,
      wait: (idle) => this.#wait(idle),
      pause: () => this.#pause(),
      enable: (enabled) => this.#enable(enabled),
    });
  }

  get works(): boolean {
    return this.#frames !== null && !this.#sleeping;
  }

  get idle(): boolean {
    return this.#sleeping && this.#idle;
  }

  get masked(): boolean {
    return this.#masked;
  }

  start(hardware: LampHardware): void {
    this.#program.start(hardware, () => {
      this.#frames = new UnwoundFrames(this.#program.exports);
      this.#inMain = false;
      this.#begun = false;
      this.#sleeping = false;
      this.#masked = false;
      this.#pending = false;
      this.#program.call('lamp_init');
    });
  }

  tick(): boolean {
    this.#interrupt('lamp_tick');
    return false;
  }

  receive(input: LinkInput): void {
    this.#program.lend(input);
    this.#interrupt(...entryOf(input));
  }

  pend(): void {
    this.#pending = true;
    this.#sleeping = false;
  }

  work(instructions: number): void {
    this.#program.run(() => {
      const frames = this.#frames;
      if (!frames) return;
      if (this.#begun) frames.enter();
      this.#begun = true;
      this.#runMain(frames, instructions);
    });
  }

  pauseSoon(): void {
    this.#program.pauseIn(0);
  }

  dispose(): void {
    this.#frames = null;
    this.#program.dispose();
  }

  #interrupt(name: PortEntry, ...numbers: readonly number[]): void {
    this.#program.run(() => {
      this.#belowRedZone(() => this.#program.call(name, ...numbers));
      this.#sleeping = false;
    });
  }

  /** What the main loop keeps below its stack pointer stays. */
  #belowRedZone(act: () => void): void {
    const pointer = this.#program.exports[stackPointer];
    if (!this.#begun || !(pointer instanceof WebAssembly.Global)) {
      act();
      return;
    }
    const top: number = pointer.value;
    pointer.value = top - redZone;
    act();
    pointer.value = top;
  }

  /** Until it waits, or has carried out so many instructions. */
  #runMain(frames: UnwoundFrames, instructions: number): void {
    this.#inMain = true;
    try {
      runUntilLeft(this.#program, frames, () => this.#program.callFor(instructions, 'lamp_main'), [
        'where an interrupt came',
        'keep them in static variables',
      ]);
    } finally {
      this.#inMain = false;
    }
  }

  #wait(idle: boolean): void {
    if (!this.#inMain)
      throw new Error('it called lamp_wait_for_interrupt(), which is for lamp_main() alone');
    if (this.#returned()) return;
    this.#idle = idle;
    // What waits for interrupts to be enabled wakes it, too.
    if (this.#masked && this.#pending) return;
    this.#sleeping = true;
    this.#frames?.leave();
  }

  #pause(): void {
    if (!this.#inMain || this.#returned()) return;
    this.#frames?.leave();
  }

  /** Interrupts cannot be interrupted: in one of them this changes nothing. */
  #enable(enabled: boolean): void {
    if (!this.#inMain || this.#returned()) return;
    this.#masked = !enabled;
    if (!enabled || !this.#pending) return;
    this.#pending = false;
    this.#frames?.leave();
  }

  /** It has come back to where it was left. */
  #returned(): boolean {
    const frames = this.#frames;
    if (!frames?.entering) return false;
    frames.entered();
    return true;
  }
}
