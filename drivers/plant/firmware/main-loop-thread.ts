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

/**
 * The thread of a firmware with a main loop. It runs until lamp_wait_for_interrupt(), reports, and sleeps; woken, it
 * runs the interrupt inside the wait and goes back to the main loop. What it asks of the lamp is written down and
 * carried out by the simulation when it waits again. The function is sent to the thread as text: it must not use
 * anything from outside itself.
 */
export function mainLoopThread(data: ThreadData): void {
  const { words, commands, answers, entries } = data;
  const control = new Int32Array(data.control);
  const facts = new Float64Array(data.facts);
  const calls = new Float64Array(data.calls);
  const memory = new Uint8Array(data.memory);
  const restart = new Error('restart');
  let exports: Record<string, unknown> = {};

  const say = (what: number): void => {
    Atomics.store(control, words.answer, what);
    Atomics.notify(control, words.answer);
  };
  const note = (which: number, numbers: readonly number[]): void => {
    const count = Atomics.add(control, words.calls, 1);
    if (count >= data.mostCalls)
      throw new Error(`more than ${data.mostCalls} calls of lamp-port.h without a wait`);
    calls[count * data.callLength] = which;
    for (let at = 0; at < 4; at++) calls[count * data.callLength + 1 + at] = numbers[at] ?? 0;
  };
  const wait = (idle: number): void => {
    const held = exports['memory'];
    const size = held instanceof WebAssembly.Memory ? held.buffer.byteLength : 0;
    if (size > data.mostMemory) throw new Error(`it took ${size / 2 ** 20} MiB of memory`);
    control[words.idle] = idle;
    Atomics.store(control, words.command, commands.none);
    say(answers.waiting);
    Atomics.wait(control, words.command, commands.none);
    if (Atomics.load(control, words.command) === commands.restart) throw restart;
    const entry = exports[entries[control[words.first]!]!];
    if (typeof entry === 'function') entry(control[words.second], control[words.third]);
  };
  const env: Record<string, (...numbers: number[]) => unknown> = {
    lamp_channels: () => facts[4],
    lamp_tick_us: () => Math.round(facts[3]! * 1e6),
    lamp_time_us: () => (Math.floor(facts[0]! * 1e6 + 1e-3) % 2 ** 32) | 0,
    lamp_supply_millivolts: () => Math.round(facts[1]! * 1e3),
    lamp_temperature_millicelsius: () => Math.round(facts[2]! * 1e3),
    lamp_memory_read: (address = 0) => memory[address & 0xff],
    lamp_memory_write: (address = 0, value = 0) => {
      memory[address & 0xff] = value;
    },
    lamp_restart: () => {
      throw restart;
    },
    lamp_wait_for_interrupt: (idle = 0) => wait(idle),
  };
  data.recorded.forEach((name, index) => {
    env[name] = (...numbers) => note(index, numbers);
  });
  const run = (): void => {
    exports = new WebAssembly.Instance(data.module, { env: env as WebAssembly.ModuleImports })
      .exports;
    for (const name of ['lamp_init', 'lamp_main']) {
      const entry = exports[name];
      if (typeof entry === 'function') entry();
    }
    throw new Error('lamp_main() returned; it must not');
  };
  for (;;) {
    try {
      run();
    } catch (error) {
      if (error === restart) {
        const setDrive = data.recorded.indexOf('lamp_set_drive');
        for (let channel = 0; channel < facts[4]!; channel++) note(setDrive, [channel, 0]);
        continue;
      }
      const bytes = new TextEncoder().encode(
        error instanceof Error ? error.message : String(error),
      );
      new Uint8Array(data.text).set(bytes.subarray(0, data.text.byteLength));
      control[words.first] = Math.min(bytes.length, data.text.byteLength);
      say(answers.failed);
      return;
    }
  }
}
