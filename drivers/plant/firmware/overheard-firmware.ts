import type { Firmware, LampHardware, LinkInput, MainLoop, ModulatorSetup } from './firmware.ts';

/** Who listens at the wall between firmware and hardware; instants are those of the call under way. */
export interface WallListener {
  /** The firmware is about to be called: to start, to tick, or with an input. */
  called?(call: 'start' | 'tick' | LinkInput): void;
  setUp?(channel: number, setup: ModulatorSetup): void;
  drove?(channel: number, value: number): void;
}

/** Firmware, and everything that passes between it and its hardware told to others. What it does stays the same. */
export class OverheardFirmware implements Firmware {
  readonly name: string;
  readonly kind: string;
  readonly takesDatagrams: boolean;
  readonly mainLoop?: MainLoop;
  readonly digest: string | null;
  readonly #firmware: Firmware;
  readonly #listeners: readonly WallListener[];

  constructor(firmware: Firmware, listeners: readonly WallListener[]) {
    this.name = firmware.name;
    this.kind = firmware.kind;
    this.takesDatagrams = firmware.takesDatagrams ?? false;
    this.digest = firmware.digest;
    if (firmware.mainLoop) this.mainLoop = firmware.mainLoop;
    this.#firmware = firmware;
    this.#listeners = listeners;
  }

  start(hardware: LampHardware): void {
    this.#tell((listener) => listener.called?.('start'));
    this.#firmware.start({
      ...hardware,
      setModulator: (channel, setup) => {
        this.#tell((listener) => listener.setUp?.(channel, setup));
        hardware.setModulator(channel, setup);
      },
      setDrive: (channel, value) => {
        this.#tell((listener) => listener.drove?.(channel, value));
        hardware.setDrive(channel, value);
      },
    });
  }

  tick(): boolean {
    this.#tell((listener) => listener.called?.('tick'));
    return this.#firmware.tick();
  }

  receive(input: LinkInput): void {
    this.#tell((listener) => listener.called?.(input));
    this.#firmware.receive(input);
  }

  dispose(): void {
    this.#firmware.dispose();
  }

  #tell(what: (listener: WallListener) => void): void {
    for (const listener of this.#listeners) what(listener);
  }
}
