/** Where the words of the shared control block lie, and what they say. */
export const word = {
  command: 0,
  answer: 1,
  first: 2,
  second: 3,
  third: 4,
  idle: 5,
  calls: 6,
} as const;
export const command = { none: 0, interrupt: 1, restart: 2 } as const;
export const answer = { none: 0, waiting: 1, failed: 2 } as const;

/** Most calls of lamp-port.h between two waits. */
export const mostCalls = 4096;
/** Numbers of one recorded call: function and up to four arguments. */
export const callLength = 5;

/** What the thread is handed. */
export interface ThreadData {
  readonly module: WebAssembly.Module;
  /** Int32 words, see `word`. */
  readonly control: SharedArrayBuffer;
  /** Float64: now s, supply V, temperature degrees Celsius, tick period s, channels. */
  readonly facts: SharedArrayBuffer;
  /** Float64: recorded calls. */
  readonly calls: SharedArrayBuffer;
  /** The lamp's non-volatile memory. */
  readonly memory: SharedArrayBuffer;
  /** Text of a failure, UTF-8; its length in word `first`. */
  readonly text: SharedArrayBuffer;
  /** Exported functions that an interrupt can call, by number. */
  readonly entries: readonly string[];
  /** Functions of lamp-port.h that are written down, by number. */
  readonly recorded: readonly string[];
  readonly words: typeof word;
  readonly commands: typeof command;
  readonly answers: typeof answer;
  readonly mostCalls: number;
  readonly callLength: number;
  readonly mostMemory: number;
}

type Numbers = readonly number[];

/**
 * The thread of a firmware with a main loop. It runs until lamp_wait_for_interrupt(), reports, and sleeps; woken, it
 * runs the interrupt inside the wait and goes back to the main loop. What it asks of the lamp is written down and
 * carried out by the simulation when it waits again. The class is sent to the thread as text: it must not use anything
 * from outside itself.
 */
export class MainLoopThread {
  readonly data: ThreadData;
  readonly control: Int32Array;
  readonly facts: Float64Array;
  readonly calls: Float64Array;
  readonly memory: Uint8Array;
  readonly restart = new Error('restart');
  exports: WebAssembly.Exports = {};

  constructor(data: ThreadData) {
    this.data = data;
    this.control = new Int32Array(data.control);
    this.facts = new Float64Array(data.facts);
    this.calls = new Float64Array(data.calls);
    this.memory = new Uint8Array(data.memory);
  }

  /** Runs the firmware, over and over where it asks for a restart, until it fails. */
  run(): void {
    for (;;) {
      try {
        this.runOnce();
      } catch (error) {
        if (error !== this.restart) {
          this.fail(error instanceof Error ? error.message : String(error));
          return;
        }
        this.darken();
      }
    }
  }

  runOnce(): void {
    const { module } = this.data;
    this.exports = new WebAssembly.Instance(module, { env: this.imports() }).exports;
    this.enter('lamp_init');
    this.enter('lamp_main');
    throw new Error('lamp_main() returned; it must not');
  }

  /** Calls an exported function; one that the build leaves out does nothing. */
  enter(name: string, ...numbers: Numbers): void {
    const entry = this.exports[name];
    if (typeof entry === 'function') entry(...numbers);
  }

  /** The functions of lamp-port.h. */
  imports(): WebAssembly.ModuleImports {
    const { memory, data } = this;
    const recorded = data.recorded.map((name, index) => [
      name,
      (...numbers: Numbers) => this.note(index, numbers),
    ]);
    return {
      lamp_channels: () => this.fact(4),
      lamp_tick_us: () => Math.round(this.fact(3) * 1e6),
      lamp_time_us: () => (Math.floor(this.fact(0) * 1e6 + 1e-3) % 2 ** 32) | 0,
      lamp_supply_millivolts: () => Math.round(this.fact(1) * 1e3),
      lamp_temperature_millicelsius: () => Math.round(this.fact(2) * 1e3),
      lamp_memory_read: (address = 0) => memory[address & 0xff],
      lamp_memory_write: (address = 0, value = 0) => {
        memory[address & 0xff] = value;
      },
      lamp_restart: () => {
        throw this.restart;
      },
      lamp_wait_for_interrupt: (idle = 0) => this.wait(idle),
      ...Object.fromEntries(recorded),
    };
  }

  fact(index: number): number {
    return this.facts[index] ?? 0;
  }

  /** Writes down a call for the simulation. */
  note(which: number, numbers: Numbers): void {
    const { mostCalls, callLength, words } = this.data;
    const count = Atomics.add(this.control, words.calls, 1);
    if (count >= mostCalls)
      throw new Error(`more than ${mostCalls} calls of lamp-port.h without a wait`);
    this.calls[count * callLength] = which;
    for (let at = 0; at < 4; at++) this.calls[count * callLength + 1 + at] = numbers[at] ?? 0;
  }

  /** Sleeps until the simulation has an interrupt, and runs it. */
  wait(idle: number): void {
    const { control } = this;
    const { words, commands, answers, entries, mostMemory } = this.data;
    const held = this.exports['memory'];
    const size = held instanceof WebAssembly.Memory ? held.buffer.byteLength : 0;
    if (size > mostMemory) throw new Error(`it took ${size / 2 ** 20} MiB of memory`);
    control[words.idle] = idle;
    Atomics.store(control, words.command, commands.none);
    this.say(answers.waiting);
    Atomics.wait(control, words.command, commands.none);
    if (Atomics.load(control, words.command) === commands.restart) throw this.restart;
    const [name, first, second] = [words.first, words.second, words.third].map((word) =>
      Atomics.load(control, word),
    );
    this.enter(entries[name ?? 0] ?? '', first ?? 0, second ?? 0);
  }

  say(what: number): void {
    const { words } = this.data;
    Atomics.store(this.control, words.answer, what);
    Atomics.notify(this.control, words.answer);
  }

  darken(): void {
    const setDrive = this.data.recorded.indexOf('lamp_set_drive');
    for (let channel = 0; channel < this.fact(4); channel++) this.note(setDrive, [channel, 0]);
  }

  fail(why: string): void {
    const { text, words, answers } = this.data;
    const bytes = new TextEncoder().encode(why).subarray(0, text.byteLength);
    new Uint8Array(text).set(bytes);
    this.control[words.first] = bytes.length;
    this.say(answers.failed);
  }
}
