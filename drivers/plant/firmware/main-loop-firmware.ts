import { Worker } from 'node:worker_threads';
import { LampFailure } from '../../../harness/bench/errors.ts';
import type { Firmware, LampHardware, LinkInput } from './firmware.ts';
import { type FirmwareImage, mostMemory } from './firmware-image.ts';
import { lampImports } from './lamp-imports.ts';
import {
  answer,
  callLength,
  command,
  MainLoopThread,
  mostCalls,
  type ThreadData,
  word,
} from './main-loop-thread.ts';
import { entryOf } from './wasm-firmware.ts';

/** Wall clock that the firmware may take from one wait to the next, ms; the first time its thread has to start, too. */
const patience = 1000;
const startPatience = 5000;

const entries = [
  'lamp_tick',
  'lamp_receive_console',
  'lamp_receive_dali',
  'lamp_dali_bus',
  'lamp_receive_dmx_break',
  'lamp_receive_dmx',
  'lamp_dmx_lost',
];

/** In the order in which the thread numbers them. */
const recorded = [
  'lamp_set_pulse_density',
  'lamp_set_pwm',
  'lamp_set_analogue',
  'lamp_set_drive',
  'lamp_set_peak_current',
  'lamp_set_off_time',
  'lamp_send_byte',
  'lamp_set_busy',
];

/**
 * Firmware in WebAssembly with a main loop of its own, in a thread that takes turns with the simulation: one of them
 * runs while the other sleeps, so the order of things does not depend on the machine. An endless loop is ended here,
 * after a second.
 */
export class MainLoopFirmware implements Firmware {
  readonly kind = 'wasm';
  readonly name: string;
  readonly digest: string;
  readonly #image: FirmwareImage;
  readonly #control = new Int32Array(new SharedArrayBuffer(4 * 16));
  readonly #facts = new Float64Array(new SharedArrayBuffer(8 * 5));
  readonly #calls = new Float64Array(new SharedArrayBuffer(8 * callLength * mostCalls));
  readonly #memory = new Uint8Array(new SharedArrayBuffer(256));
  readonly #text = new Uint8Array(new SharedArrayBuffer(1024));
  #thread: Worker | null = null;
  #hardware: LampHardware | null = null;
  #failure: LampFailure | null = null;

  constructor(image: FirmwareImage) {
    this.name = image.name;
    this.digest = image.digest;
    this.#image = image;
  }

  start(hardware: LampHardware): void {
    if (this.#failure) throw this.#failure;
    this.#hardware = hardware;
    this.#memory.set(hardware.memory);
    if (this.#thread) this.#turn(command.restart, patience);
    else {
      this.#hand(hardware);
      this.#thread = this.#newThread();
      this.#await(startPatience);
    }
  }

  tick(): boolean {
    this.#interrupt('lamp_tick');
    return this.#control[word.idle] === 1;
  }

  receive(input: LinkInput): void {
    const [name, ...numbers] = entryOf(input);
    this.#interrupt(name, ...numbers);
  }

  dispose(): void {
    void this.#thread?.terminate();
    this.#thread = null;
  }

  #newThread(): Worker {
    const data: ThreadData = {
      module: this.#image.module,
      control: this.#control.buffer as SharedArrayBuffer,
      facts: this.#facts.buffer as SharedArrayBuffer,
      calls: this.#calls.buffer as SharedArrayBuffer,
      memory: this.#memory.buffer as SharedArrayBuffer,
      text: this.#text.buffer as SharedArrayBuffer,
      entries,
      recorded,
      words: word,
      commands: command,
      answers: answer,
      mostCalls,
      callLength,
      mostMemory,
    };
    // As text, so that the bundle needs no file of its own for it.
    const source = `new (${MainLoopThread})(require('node:worker_threads').workerData).run()`;
    const thread = new Worker(source, { eval: true, workerData: data });
    thread.unref();
    return thread;
  }

  #interrupt(name: string, first = 0, second = 0): void {
    if (this.#failure) throw this.#failure;
    this.#control[word.first] = entries.indexOf(name);
    this.#control[word.second] = first;
    this.#control[word.third] = second;
    this.#turn(command.interrupt, patience);
  }

  /** Lets the firmware run to its next wait, and carries out what it asked for. */
  #turn(what: number, milliseconds: number): void {
    if (this.#hardware) this.#hand(this.#hardware);
    Atomics.store(this.#control, word.answer, answer.none);
    Atomics.store(this.#control, word.command, what);
    Atomics.notify(this.#control, word.command);
    this.#await(milliseconds);
  }

  #hand(hardware: LampHardware): void {
    const { tickPeriod, channels } = hardware;
    const facts = [hardware.now(), hardware.supplyVoltage(), hardware.temperature()];
    this.#facts.set([...facts, tickPeriod, channels]);
    this.#control[word.calls] = 0;
  }

  #await(milliseconds: number): void {
    Atomics.wait(this.#control, word.answer, answer.none, milliseconds);
    const said = Atomics.load(this.#control, word.answer);
    if (said === answer.none)
      throw this.#fail(
        `it did not reach lamp_wait_for_interrupt() within ${milliseconds / 1000} s; is it in an endless loop?`,
      );
    if (said === answer.failed) {
      const text = this.#text.slice(0, this.#control[word.first]);
      throw this.#fail(new TextDecoder().decode(text));
    }
    this.#carryOut();
  }

  #carryOut(): void {
    const hardware = this.#hardware;
    if (!hardware) return;
    const imports = lampImports(hardware, () => {});
    const count = Math.min(mostCalls, this.#control[word.calls] ?? 0);
    for (let call = 0; call < count; call++) {
      const [which = 0, ...numbers] = this.#calls.subarray(
        call * callLength,
        (call + 1) * callLength,
      );
      imports[recorded[which] ?? '']?.(...numbers);
    }
    hardware.memory.set(this.#memory);
  }

  #fail(what: string): LampFailure {
    this.#failure = new LampFailure(`Firmware ${this.name}: ${what}`, this.#hardware?.now());
    this.dispose();
    return this.#failure;
  }
}
