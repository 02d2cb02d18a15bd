import type { LampHardware, LinkInput, ModulatorSetup } from './firmware.ts';
import { timerOf } from './lamp-imports.ts';
import { entryOf } from './link-entry.ts';
import type { Reading, Told, WallListener } from './overheard-firmware.ts';

/** Lines that are kept: those of some five minutes in which the firmware is at work all the time. */
const mostLines = 2_000_000;

/** How each reading is written: as lamp-port.h resolves it. */
const readings: Readonly<Record<Reading, readonly [name: string, of: (value: number) => number]>> =
  {
    supplyVoltage: ['supply-mV', (volts) => Math.round(volts * 1e3)],
    supplyPower: ['supply-mW', (watts) => Math.round(watts * 1e3)],
    suppliedEnergy: ['supplied-mJ', (joules) => Math.floor(joules * 1e3) % 2 ** 32],
    temperature: ['temperature-mC', (celsius) => Math.round(celsius * 1e3)],
    restartCause: ['restart-cause', (cause) => cause],
    memoryBusy: ['memory-busy', (busy) => busy],
  };

/**
 * Everything that passed between firmware and lamp, line by line, for a native build of the same sources (native/native-lamp.c has the
 * format): calls with their time, `?` what they read where that has changed, `>` what they told the lamp.
 */
export class Transcript implements WallListener {
  readonly #lines: string[] = [];
  #tooMany = false;
  readonly #known = new Map<Reading, number>();

  called(call: 'start' | 'tick' | LinkInput, hardware: LampHardware): void {
    if (this.#lines.length === 0 && !this.#tooMany) {
      this.#lines.push('evenfall-transcript 1', `channels ${hardware.channels}`);
      this.#add(`tick-us ${Math.round(hardware.tickPeriod * 1e6)}`);
    }
    this.#add(`${timerOf(hardware)} ${callText(call)}`);
    // A reset or a power cut may have lost what waited to be written.
    if (call === 'start')
      this.#add(`? memory-cells ${Buffer.from(hardware.memory).toString('hex')}`);
  }

  read(what: Reading, value: number): void {
    const [name, of] = readings[what];
    const read = of(value);
    if (this.#known.get(what) === read) return;
    this.#known.set(what, read);
    this.#add(`? ${name} ${read}`);
  }

  /** Each one: with noise two of one instant differ. */
  converted(input: number, code: number): void {
    this.#add(`? adc ${input} ${code}`);
  }

  told(told: Told): void {
    this.#add(`> ${toldText(told)}`);
  }

  /** Null where it became too much to keep. */
  text(): string | null {
    return this.#tooMany ? null : `${this.#lines.join('\n')}\n`;
  }

  #add(line: string): void {
    if (this.#tooMany) return;
    this.#lines.push(line);
    if (this.#lines.length <= mostLines) return;
    this.#tooMany = true;
    this.#lines.length = 0;
  }
}

function callText(call: 'start' | 'tick' | LinkInput): string {
  if (call === 'start') return 'lamp_init';
  if (call === 'tick') return 'lamp_tick';
  const [entry, ...numbers] = entryOf(call);
  const datagram = call.link === 'sacn' ? [Buffer.from(call.datagram).toString('hex')] : [];
  return [entry, ...numbers.map((number) => number >>> 0), ...datagram].join(' ');
}

function toldText(told: Told): string {
  switch (told.kind) {
    case 'modulator':
      return setupText(told.channel, told.setup);
    case 'drive':
      return `drive ${told.channel} ${told.value}`;
    case 'peak-current':
      return `peak-current-uA ${told.channel} ${Math.round(told.amps * 1e6)}`;
    case 'off-time':
      return `off-time-ns ${told.channel} ${Math.round(told.seconds * 1e9)}`;
    case 'byte':
      return `byte ${told.link} ${told.byte}`;
    case 'busy':
      return `busy ${told.high ? 1 : 0}`;
    case 'memory':
      return `memory ${told.address} ${told.value}`;
    case 'log':
      return `log ${escaped(told.text, 0x1f)}`;
    case 'probe': {
      const bits = Buffer.alloc(8);
      bits.writeDoubleBE(told.value);
      const [name, unit] = [told.name, told.unit].map((text) => escaped(Buffer.from(text), 0x20));
      return `probe ${name} ${unit} ${bits.toString('hex')}`;
    }
  }
}

function setupText(channel: number, setup: ModulatorSetup): string {
  if (setup.kind === 'analogue') return `analogue ${channel} ${setup.bits}`;
  if (setup.kind === 'pulse-density')
    return `pulse-density ${channel} ${setup.bits} ${setup.clock}`;
  const phase = Math.round(setup.phase * 65536);
  return `pwm ${channel} ${setup.bits} ${setup.frequency} ${phase}`;
}

/** In one line: bytes up to `highest`, and what is not printable ASCII, as `\x1b`. */
function escaped(bytes: Uint8Array, highest: number): string {
  return Array.from(bytes, (byte) =>
    byte > highest && byte < 0x7f && byte !== 0x5c
      ? String.fromCharCode(byte)
      : `\\x${byte.toString(16).padStart(2, '0')}`,
  ).join('');
}
