import { setTimeout } from 'node:timers/promises';
import { BenchError } from '../../../harness/bench/errors.ts';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { PlantDigitiser } from '../instruments/plant-digitiser.ts';
import type { LivePlant } from './live-plant.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import {
  numberArg,
  onlyArg,
  type ScpiCall,
  type ScpiCommand,
  type ScpiModel,
} from './scpi/scpi-instrument.ts';
import { type Spoiling, spoilt } from './spoilt-records.ts';
import type { TroubleKind, Troubles } from './trouble.ts';

interface Settings {
  rate: number;
  points: number;
  scan: string[];
  /** V, by input. */
  readonly ranges: Map<string, number>;
  /** Most significant byte first. */
  bigEndian: boolean;
  /** Bits of a code on the wire. */
  width: 16 | 32;
}

type Record =
  | { readonly state: 'none' }
  | { readonly state: 'armed'; readonly ended: Promise<void>; readonly stop: AbortController }
  | { readonly state: 'running'; readonly ended: Promise<void>; readonly stop: AbortController }
  | { readonly state: 'done'; readonly captures: readonly RawCapture[]; readonly clipped: boolean };

/** The digitiser's command set on top of the simulated digitiser. Inputs have numbers, as on the front panel. */
export class DigitiserModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #digitiser: PlantDigitiser;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  #settings = powerOn();
  #record: Record = { state: 'none' };
  /** Records since power-on. */
  #count = 0;
  /** What was handed over last. */
  #old: readonly RawCapture[] | null = null;

  constructor(digitiser: PlantDigitiser, live: LivePlant, troubles: Troubles, identity: string) {
    this.#digitiser = digitiser;
    this.#live = live;
    this.#troubles = troubles;
    this.identity = identity;
    this.commands = [...this.#setUpCommands(), ...this.#recordCommands()];
  }

  reset(): void {
    this.#abort();
    this.#settings = powerOn();
  }

  async finished(): Promise<void> {
    // An armed record is another one once it runs.
    while (this.#record.state === 'armed' || this.#record.state === 'running')
      await this.#record.ended;
  }

  #setUpCommands(): ScpiCommand[] {
    const { highestRate, longestRecord, inputs } = this.#digitiser.capabilities;
    return [
      {
        header: 'ACQuire:RATE',
        set: (call) => void (this.#settings.rate = within(call, Number.MIN_VALUE, highestRate)),
        ask: () => figure(this.#settings.rate),
      },
      {
        header: 'ACQuire:POINts',
        set: (call) => void (this.#settings.points = Math.round(within(call, 0, longestRecord))),
        ask: () => String(this.#settings.points),
      },
      {
        header: 'ROUTe:SCAN',
        set: (call) => {
          if (onlyArg(call).toUpperCase() !== 'NONE') throw new ScpiError(-224, call.args[0]);
          this.#settings.scan = [];
        },
        ask: () => this.#settings.scan.join(','),
      },
      {
        header: 'ROUTe:SCAN:ADD',
        set: (call) => {
          const input = this.#input(onlyArg(call));
          if (!this.#settings.scan.includes(input)) this.#settings.scan.push(input);
        },
      },
      { header: 'ROUTe:SCAN:CATalog', ask: () => inputs.join(',') },
      {
        header: 'INPut#:RANGe',
        set: (call) =>
          void this.#settings.ranges.set(this.#suffix(call), within(call, Number.MIN_VALUE, 1e6)),
        ask: (call) => figure(this.#settings.ranges.get(this.#suffix(call)) ?? 0),
      },
      {
        header: 'FORMat:BORDer',
        set: (call) =>
          void (this.#settings.bigEndian = choice(call, [
            'NORM',
            'NORMAL',
            'SWAP',
            'SWAPPED',
          ]).startsWith('NORM')),
        ask: () => (this.#settings.bigEndian ? 'NORM' : 'SWAP'),
      },
      {
        header: 'FORMat[:DATA]',
        set: ({ args }) => {
          if (args[0]?.toUpperCase() !== 'INT' || !(args[1] === '16' || args[1] === '32'))
            throw new ScpiError(-224, args.join(','));
          this.#settings.width = args[1] === '16' ? 16 : 32;
        },
        ask: () => `INT,${this.#settings.width}`,
      },
    ];
  }

  #recordCommands(): ScpiCommand[] {
    return [
      { header: 'INITiate[:IMMediate]', set: () => this.#start() },
      { header: 'ABORt', set: () => this.#abort() },
      {
        header: 'ACQuire:STATe',
        ask: async () => {
          await this.#live.catchUp();
          return { none: 'IDLE', armed: 'ARM', running: 'RUN', done: 'DONE' }[this.#record.state];
        },
      },
      { header: 'ACQuire:COUNt', ask: () => String(this.#count) },
      { header: 'WAVeform:PREamble', ask: (call) => this.#preamble(call) },
      { header: 'WAVeform:DATA', ask: (call) => this.#data(call) },
    ];
  }

  async #start(): Promise<void> {
    if (this.#record.state === 'armed' || this.#record.state === 'running')
      throw new ScpiError(-213);
    const { scan, points } = this.#settings;
    if (scan.length === 0 || points === 0) throw new ScpiError(-221, 'no inputs or no points');
    await this.#live.catchUp();
    const strike = (kind: TroubleKind) => this.#troubles.strike(this.#digitiser.name, [kind]);
    if (strike('replay-at-once') && this.#old) {
      this.#count++;
      this.#record = { state: 'done', captures: this.#old, clipped: false };
      return;
    }
    const stop = new AbortController();
    const late = strike('trigger-late');
    const hidden = strike('trigger-hidden');
    if (!late && !hidden) {
      await this.#sample(stop);
      return;
    }
    const ended = this.#live.clock
      .waitUntil(this.#live.clock.now() + (late ?? hidden ?? { seconds: 0 }).seconds, stop.signal)
      .then(() => this.#sample(stop))
      .catch((error: unknown) => {
        if (!(error instanceof BenchError)) throw error;
      });
    this.#record = { state: hidden ? 'running' : 'armed', ended, stop };
  }

  /** Sampling begins. */
  async #sample(stop: AbortController): Promise<void> {
    const { scan, rate, points, ranges } = this.#settings;
    const inputs = scan.map((input) => {
      const volts = ranges.get(input);
      return volts === undefined ? { input } : { input, expectedPeak: volts };
    });
    const struck = this.#troubles.strike(this.#digitiser.name, ['fast-clock', 'fast-clock-held']);
    const fast = struck ? tooFast : 1;
    const whole = this.#live.clock.now() + points / rate;
    const setup = { inputs, rate: rate * fast, duration: points / (rate * fast) };
    const call = { signal: stop.signal, deadline: Number.POSITIVE_INFINITY };
    const { finished } = await this.#digitiser.arm(setup, call);
    const ended = finished.then(
      async (captures) => {
        if (struck?.kind === 'fast-clock-held')
          await this.#live.clock.waitUntil(whole, stop.signal).catch(() => {});
        if (!stop.signal.aborted) this.#complete(captures.map((one) => ({ ...one, rate })));
      },
      (error: unknown) => {
        if (!(error instanceof BenchError)) throw error;
        if (!stop.signal.aborted) this.#record = { state: 'none' };
      },
    );
    this.#record = { state: 'running', ended, stop };
  }

  #complete(taken: readonly RawCapture[]): void {
    const strikes = (kind: TroubleKind): boolean =>
      this.#troubles.strike(this.#digitiser.name, [kind]) !== null;
    const clipped = strikes('overload');
    const stuck = strikes('replay');
    const again = [stuck, strikes('replay-counted')].includes(true);
    if (!stuck) this.#count++;
    const captures = again && this.#old ? cutAs(this.#old, taken) : taken;
    this.#old = remembered(this.#old, captures);
    const shown = spoilings.reduce<readonly RawCapture[]>((all, kind) => {
      const struck = this.#troubles.strike(this.#digitiser.name, [kind]);
      if (!struck) return all;
      const { input } = struck;
      return all.map((one) => ((input ?? one.input) === one.input ? spoilt[kind](one) : one));
    }, captures);
    this.#record = { state: 'done', captures: clipped ? shown.map(overloaded) : shown, clipped };
  }

  #abort(): void {
    const record = this.#record;
    this.#record = { state: 'none' };
    if (record.state === 'armed' || record.state === 'running') record.stop.abort();
  }

  /** Points, rate, scale, offset, lowest, highest, overload. */
  #preamble(call: ScpiCall): string {
    const { capture, shift } = this.#capture(call);
    const scale = capture.scale * 2 ** shift;
    const lowest = capture.lowest / 2 ** shift;
    const highest = Math.floor(capture.highest / 2 ** shift);
    const overload = this.#record.state === 'done' && this.#record.clipped ? 1 : 0;
    const { codes, rate, offset } = capture;
    return [
      codes.length,
      figure(rate),
      figure(scale),
      figure(offset),
      lowest,
      highest,
      overload,
    ].join(',');
  }

  async #data(call: ScpiCall): Promise<Uint8Array> {
    const slow = this.#troubles.strike(this.#digitiser.name, ['hand-over']);
    if (slow) await setTimeout(slow.seconds * 1000, undefined, { ref: false });
    const { capture, shift } = this.#capture(call);
    const { width, bigEndian } = this.#settings;
    const bytes = Buffer.alloc((capture.codes.length * width) / 8);
    const codes = width === 16 ? new Int16Array(bytes.buffer) : new Int32Array(bytes.buffer);
    for (const [k, code] of capture.codes.entries()) codes[k] = code >> shift;
    if (!bigEndian) return bytes;
    return width === 16 ? bytes.swap16() : bytes.swap32();
  }

  /** Codes of more than 16 bits lose their last ones where 16 were asked for. */
  #capture(call: ScpiCall): { readonly capture: RawCapture; readonly shift: number } {
    const input = this.#input(onlyArg(call));
    const record = this.#record;
    const capture =
      record.state === 'done' ? record.captures.find((other) => other.input === input) : undefined;
    if (!capture) throw new ScpiError(-230, `no record of input ${input}`);
    const bits = Math.log2(capture.highest + 1) + 1;
    return { capture, shift: Math.max(0, Math.round(bits) - this.#settings.width) };
  }

  #input(text: string): string {
    const input = text.replace(/^"(.*)"$/, '$1');
    if (this.#digitiser.capabilities.inputs.includes(input)) return input;
    throw new ScpiError(-224, `no input ${input}`);
  }

  #suffix({ suffixes }: ScpiCall): string {
    const input = String(suffixes[0]);
    if (this.#digitiser.capabilities.inputs.includes(input)) return input;
    throw new ScpiError(-114, `no input ${input}`);
  }
}

/** Of the trouble `fast-clock`. */
const tooFast = 1.06;

const spoilings = Object.keys(spoilt) as Spoiling[];

function powerOn(): Settings {
  return { rate: 10e3, points: 0, scan: [], ranges: new Map(), bigEndian: true, width: 16 };
}

/** A figure that reads back as the same double. */
function figure(value: number): string {
  return String(value).replace('e', 'E');
}

function within(call: ScpiCall, least: number, most: number): number {
  const value = numberArg(call);
  if (!(value >= least && value <= most)) throw new ScpiError(-222, String(value));
  return value;
}

function choice(call: ScpiCall, allowed: readonly string[]): string {
  const word = onlyArg(call).toUpperCase();
  if (!allowed.includes(word)) throw new ScpiError(-224, word);
  return word;
}

/** Of each input its old record, as long as the new one: what is left over is cut off, what is missing is missing. */
function cutAs(old: readonly RawCapture[], taken: readonly RawCapture[]): readonly RawCapture[] {
  return taken.map((one) => {
    const before = old.find(({ input }) => input === one.input);
    return before ? { ...before, codes: before.codes.slice(0, one.codes.length) } : one;
  });
}

/** What stands in the memory of each input. */
function remembered(
  old: readonly RawCapture[] | null,
  captures: readonly RawCapture[],
): readonly RawCapture[] {
  const left = (old ?? []).filter(({ input }) => captures.every((one) => one.input !== input));
  return [...captures, ...left];
}

/** As if a signal beyond the range had come in for the second half of the record. */
function overloaded(capture: RawCapture): RawCapture {
  return {
    ...capture,
    codes: capture.codes.slice().fill(capture.highest, capture.codes.length / 2),
  };
}
