import { LampFailure } from '../../../harness/bench/errors.ts';
import type { Firmware, LampHardware, LinkInput } from './firmware.ts';
import { type FirmwareImage, FirmwareLoadError, mostMemory } from './firmware-image.ts';
import { Heartbeat } from './heartbeat.ts';
import { lampImports, Restart } from './lamp-imports.ts';

type Exports = Readonly<Record<string, ((...numbers: number[]) => number | undefined) | undefined>>;

/**
 * Firmware in WebAssembly that is driven by ticks, called straight from the simulation. Every start is a fresh copy of
 * the program. A trap or too much memory is a LampFailure, for good; an endless loop is seen by whoever watches the
 * heartbeat.
 */
export class WasmFirmware implements Firmware {
  readonly kind = 'wasm';
  readonly name: string;
  readonly digest: string;
  readonly #image: FirmwareImage;
  readonly #heartbeat: Heartbeat;
  #hardware: LampHardware | null = null;
  #exports: Exports = {};
  #memory: WebAssembly.Memory | null = null;
  #failure: LampFailure | null = null;

  constructor(image: FirmwareImage, heartbeat?: SharedArrayBuffer) {
    this.name = image.name;
    this.digest = image.digest;
    this.#image = image;
    this.#heartbeat = new Heartbeat(heartbeat);
  }

  start(hardware: LampHardware): void {
    this.#hardware = hardware;
    const { exports } = this.#instance(hardware);
    this.#memory = exports['memory'] instanceof WebAssembly.Memory ? exports['memory'] : null;
    this.#exports = exports as Exports;
    this.#enter('lamp_init');
  }

  tick(): boolean {
    return this.#enter('lamp_tick') === 1;
  }

  receive(input: LinkInput): void {
    const [name, ...numbers] = entryOf(input);
    this.#enter(name, ...numbers);
  }

  dispose(): void {
    this.#exports = {};
    this.#memory = null;
    this.#hardware = null;
  }

  #instance(hardware: LampHardware): WebAssembly.Instance {
    const refuse = () => {
      throw new Error('lamp_wait_for_interrupt was called, but the build exports no lamp_main');
    };
    const env = lampImports(hardware, refuse) as WebAssembly.ModuleImports;
    try {
      // A start function runs here: it is firmware too.
      return this.#heartbeat.around(() => new WebAssembly.Instance(this.#image.module, { env }));
    } catch (error) {
      throw new FirmwareLoadError(
        `${this.name} cannot start: ${(error as Error).message}. lamp-port.h says what a build must contain.`,
        { cause: error },
      );
    }
  }

  /** Calls an exported function; one that the build leaves out does nothing. */
  #enter(name: string, ...numbers: number[]): number | undefined {
    if (this.#failure) throw this.#failure;
    const entry = this.#exports[name];
    if (!entry) return undefined;
    try {
      const result = this.#heartbeat.around(() => entry(...numbers));
      this.#checkMemory(name);
      return result;
    } catch (error) {
      return this.#left(name, error);
    }
  }

  #left(name: string, error: unknown): undefined {
    if (error instanceof Restart) {
      if (name === 'lamp_init')
        throw this.#fail('lamp_init() asks for a restart every time', error);
      const hardware = this.#hardware;
      if (!hardware) return;
      for (let channel = 0; channel < hardware.channels; channel++) hardware.setDrive(channel, 0);
      this.start(hardware);
      return;
    }
    if (error instanceof LampFailure) throw error;
    throw this.#fail(`${name}() ended in a trap: ${(error as Error).message}`, error);
  }

  #checkMemory(name: string): void {
    const size = this.#memory?.buffer.byteLength ?? 0;
    if (size > mostMemory)
      throw this.#fail(
        `${name}() took ${(size / 2 ** 20).toFixed(0)} MiB of memory; a lamp has at most ${mostMemory / 2 ** 20} MiB`,
      );
  }

  #fail(what: string, cause?: unknown): LampFailure {
    const at = this.#hardware?.now();
    this.#failure = new LampFailure(`Firmware ${this.name}: ${what}.`, at, { cause });
    return this.#failure;
  }
}

/** The exported function that an input belongs to, and what it is called with. */
export function entryOf(input: LinkInput): readonly [string, ...number[]] {
  if (input.link === 'console') return ['lamp_receive_console', input.byte];
  if (input.link === 'dmx') {
    if (input.event === 'break') return ['lamp_receive_dmx_break'];
    return input.event === 'lost' ? ['lamp_dmx_lost'] : ['lamp_receive_dmx', input.byte];
  }
  if (!('frame' in input)) return ['lamp_dali_bus', input.powered ? 1 : 0];
  const word = input.frame.reduce((sum, byte) => (sum << 8) | byte, 0);
  return ['lamp_receive_dali', word, 8 * input.frame.length];
}
