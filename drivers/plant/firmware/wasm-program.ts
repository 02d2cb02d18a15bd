import { LampFailure } from '../../../harness/bench/errors.ts';
import type { LampHardware, LinkInput } from './firmware.ts';
import { type FirmwareImage, mostMemory } from './firmware-image.ts';
import type { FirmwarePause } from './firmware-pause.ts';
import { Heartbeat } from './heartbeat.ts';
import { instructionCounter } from './instruction-counter.ts';
import { lampImports, Restart, timedImports } from './lamp-imports.ts';
import type { PortEntry } from './link-entry.ts';
import { textAt } from './memory-text.ts';
import { instructionDeadline } from './preemption-points.ts';
import { trapPlace } from './trap-place.ts';

/** Restarts that a program may ask for before it is up: a first start that sets up its memory may want one. */
const mostRestarts = 10;

/** Instructions that no call carries out within its second of wall clock. */
const never = 2 ** 31 - 1;

/** Told of each copy of the program that is loaded, before anything of it but its start function has run. */
type CopyListener = (exports: WebAssembly.Exports) => void;

/** Who looks on while a build runs. */
export interface ProgramWatch {
  /** Shared bytes (`heartbeatBytes`) by which another thread can see an endless loop; see Heartbeat. */
  readonly heartbeat?: SharedArrayBuffer | undefined;
  readonly loaded?: CopyListener | undefined;
  readonly debugStop?: FirmwarePause | undefined;
}

interface ProgramListeners extends ProgramWatch {
  /** Called when the program calls lamp_wait_for_interrupt(); what it throws ends the program. */
  readonly wait: (idle: boolean) => void;
  /** Called when it enables interrupts, or disables them; where its build pauses. */
  readonly enable?: (enabled: boolean) => void;
  readonly pause?: () => void;
}

/**
 * A build as it runs in the lamp: every start is a fresh copy of the program. A trap or too much memory is a LampFailure,
 * again and again until the next start; an endless loop is seen by whoever watches the heartbeat.
 */
export class WasmProgram {
  readonly #image: FirmwareImage;
  readonly #heartbeat: Heartbeat;
  readonly #listeners: ProgramListeners;
  #hardware: LampHardware | null = null;
  #begin: () => void = () => {};
  #exports: WebAssembly.Exports = {};
  #memory: WebAssembly.Memory | null = null;
  #failure: LampFailure | null = null;
  #counter: WebAssembly.Global | null = null;
  #deadline: WebAssembly.Global | null = null;
  #charged = 0;
  /** What lamp_datagram_byte() reads. */
  #datagram: Uint8Array = new Uint8Array(0);

  constructor(image: FirmwareImage, listeners: ProgramListeners) {
    this.#image = image;
    this.#heartbeat = new Heartbeat(listeners.heartbeat);
    this.#listeners = listeners;
  }

  /** What the copy exports. */
  get exports(): WebAssembly.Exports {
    return this.#exports;
  }

  /** Loads a fresh copy, which `begin` brings up by its calls; another one whenever the program asks for a restart. */
  start(hardware: LampHardware, begin: () => void): void {
    this.#failure = null;
    this.#hardware = hardware;
    this.#begin = begin;
    this.#restart();
  }

  /** Hands in what it is told of, where that is more than numbers: until the next. */
  lend(input: LinkInput): void {
    if (input.link === 'sacn') this.#datagram = input.datagram;
  }

  /** Does `work`, which calls into the running copy. */
  run(work: () => void): void {
    if (this.#failure) throw this.#failure;
    try {
      work();
    } catch (error) {
      if (!(error instanceof Restart)) throw error;
      this.#darken();
      this.#hardware?.restarts();
      this.#restart();
    }
  }

  /** Calls an exported function; one that the build leaves out does nothing. Only within `start` and `run`. */
  call(name: PortEntry, ...numbers: readonly number[]): number | undefined {
    const entry = this.#exports[name];
    if (typeof entry !== 'function') return undefined;
    const { debugStop } = this.#listeners;
    try {
      const result: unknown = this.#heartbeat.around(`${name}()`, () =>
        debugStop
          ? debugStop.around(name, entry as (...all: number[]) => unknown, numbers)
          : entry(...numbers),
      );
      this.#charge();
      this.#checkMemory(name);
      return typeof result === 'number' ? result : undefined;
    } catch (error) {
      if (error instanceof Restart || error instanceof LampFailure) throw error;
      throw this.fail(`${name}() ${endingOf(error, this.#image)}`, error);
    }
  }

  /** The same, which pauses after about so many instructions. */
  callFor(instructions: number, name: PortEntry): number | undefined {
    this.pauseIn(instructions);
    try {
      return this.call(name);
    } finally {
      this.pauseIn(never);
    }
  }

  /** The failure by which the program has ended: throw it. The simulation knows when. */
  fail(what: string, cause?: unknown): LampFailure {
    this.#failure = new LampFailure(`Firmware ${this.#image.name}: ${what}.`, undefined, { cause });
    return this.#failure;
  }

  dispose(): void {
    this.#exports = {};
    this.#memory = null;
    this.#hardware = null;
    this.#begin = () => {};
  }

  #restart(): void {
    for (let tries = 0; tries < mostRestarts; tries++) {
      try {
        this.#load();
        this.#begin();
        return;
      } catch (error) {
        if (!(error instanceof Restart)) throw error;
        this.#darken();
        this.#hardware?.restarts();
      }
    }
    throw this.fail(`it asked for a restart ${mostRestarts} times in a row before it was up`);
  }

  #load(): void {
    const hardware = this.#hardware;
    if (!hardware) return;
    this.#counter = null;
    this.#deadline = null;
    this.#memory = null;
    const { wait, loaded, enable = () => {}, pause = () => {} } = this.#listeners;
    const program = {
      wait,
      enable,
      charge: () => this.#charge(),
      datagram: () => this.#datagram,
      text: (address: number) => textAt(this.#memory, address),
    };
    const { module, name, preemptible = false } = this.#image;
    const port = lampImports(hardware, program);
    const env = preemptible ? timedImports(port, { charge: program.charge, pause }) : { ...port };
    try {
      // A start function runs here: it is firmware too.
      const copy = this.#heartbeat.around(
        'the start of the program',
        () => new WebAssembly.Instance(module, { env }),
      );
      this.#exports = copy.exports;
    } catch (error) {
      if (error instanceof Restart) throw error;
      const why = (error as Error).message;
      throw this.fail(
        `${name} cannot start: ${why}; lamp-port.h says what a build contains`,
        error,
      );
    }
    loaded?.(this.#exports);
    const {
      memory,
      [instructionCounter]: counter,
      [instructionDeadline]: deadline,
    } = this.#exports;
    this.#memory = memory instanceof WebAssembly.Memory ? memory : null;
    this.#counter = counter instanceof WebAssembly.Global ? counter : null;
    this.#deadline = deadline instanceof WebAssembly.Global ? deadline : null;
    this.#charged = 0;
    this.pauseIn(never);
  }

  /** From now on. */
  pauseIn(instructions: number): void {
    if (this.#deadline && this.#counter)
      this.#deadline.value = (this.#counter.value + instructions) | 0;
  }

  /** What the program has worked since the last time, where its build counts it. */
  #charge(): void {
    if (!this.#counter) return;
    const count: number = this.#counter.value;
    this.#hardware?.charge((count - this.#charged) >>> 0);
    this.#charged = count;
  }

  #darken(): void {
    const channels = this.#hardware?.channels ?? 0;
    for (let channel = 0; channel < channels; channel++) this.#hardware?.setDrive(channel, 0);
  }

  #checkMemory(name: string): void {
    const size = this.#memory?.buffer.byteLength ?? 0;
    if (size > mostMemory)
      throw this.fail(
        `${name}() took ${(size / 2 ** 20).toFixed(0)} MiB of memory; a lamp has at most ${mostMemory / 2 ** 20} MiB`,
      );
  }
}

function endingOf(error: unknown, image: FirmwareImage): string {
  const { message } = error as Error;
  const trap = error instanceof WebAssembly.RuntimeError || error instanceof RangeError;
  const place = trapPlace(error, image);
  return trap ? `ended in a trap: ${message}${place}` : `failed: ${message}${place}`;
}
