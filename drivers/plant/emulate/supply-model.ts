import type { Rig } from '../../../harness/bench/rig.ts';
import type { LivePlant } from './live-plant.ts';
import { OutputWatchdog } from './output-watchdog.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import {
  isOn,
  numberArg,
  onlyArg,
  type ScpiCommand,
  type ScpiModel,
} from './scpi/scpi-instrument.ts';
import { offTroubles, outputTroubles, type Trouble, type Troubles, usualAfter } from './trouble.ts';

const nothingRead = { volts: '0.0000', amps: '0.00000' };
/** ms from look to look at the current. */
const look = 5;
/** V per V set that are left of the output in the trouble `sag`. */
const sagged = 0.6;
/** Of the voltage, in the trouble `other-volts`. */
const tooLittle = 0.88;
/** Of the trouble `slow-rise`. */
const riseSteps = 40;
/** Questionable status, SCPI-1999, from memory: voltage and current. */
const voltageBit = 1;
const currentBit = 2;

/**
 * The command set of the lamp's source: a voltage with a current limit, into which the voltage sags, and a latched status of
 * what went wrong.
 */
export class SupplyModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #live: LivePlant;
  readonly #name: string;
  readonly #troubles: Troubles;
  readonly #highestAmps: number;
  #limit: number;
  /** V that it was set to; less may be at its terminals. */
  #set = 0;
  #limiting = false;
  #sagging = false;
  #latched = 0;
  /** What it says of its output and what it reads, where it lies. */
  #lie: { readonly on: boolean; readonly volts?: string; readonly amps?: string } | null = null;
  #pending: NodeJS.Timeout[] = [];
  readonly #timer: NodeJS.Timeout;
  readonly #watchdog: OutputWatchdog;

  constructor(
    name: string,
    live: LivePlant,
    supply: Rig['supply'],
    troubles: Troubles,
    identity: string,
  ) {
    this.identity = identity;
    this.#name = name;
    this.#live = live;
    this.#troubles = troubles;
    this.#highestAmps = supply?.highestAmps ?? 10;
    this.#limit = this.#highestAmps;
    this.#timer = setInterval(() => void this.#limitCurrent(), look).unref();
    this.#watchdog = new OutputWatchdog(() => void this.#unfed());
    this.commands = [...this.#commands(supply?.highestVolts ?? 300), ...this.#watchdog.commands];
  }

  async reset(): Promise<void> {
    await this.#output(false);
    await this.#setVolts(0);
    this.#limit = this.#highestAmps;
    this.#watchdog.stop();
  }

  clear(): void {
    this.#latched = 0;
  }

  async finished(): Promise<void> {}

  close(): void {
    this.#watchdog.stop();
    clearInterval(this.#timer);
    this.#forgetTroubles();
  }

  #commands(highestVolts: number): readonly ScpiCommand[] {
    const live = this.#live;
    return [
      {
        header: '[SOURce:]VOLTage[:LEVel]',
        set: (call) => this.#setVolts(between(numberArg(call), highestVolts)),
        ask: () => this.#set.toFixed(3),
      },
      {
        header: '[SOURce:]CURRent[:LIMit]',
        set: (call) => void (this.#limit = between(numberArg(call), this.#highestAmps)),
        ask: () => this.#limit.toFixed(3),
      },
      {
        header: 'OUTPut[:STATe]',
        set: (call) => this.#output(isOn(onlyArg(call))),
        ask: () => ((this.#lie?.on ?? live.on) ? '1' : '0'),
      },
      { header: 'OUTPut:MODE', ask: () => (live.on && this.#limited ? 'CC' : 'CV') },
      { header: 'MEASure:VOLTage[:DC]', ask: () => this.#lie?.volts ?? this.#volts() },
      { header: 'MEASure:CURRent[:DC]', ask: () => this.#lie?.amps ?? this.#amps() },
      { header: 'STATus:QUEStionable[:EVENt]', ask: () => this.#readLatched() },
    ];
  }

  get #limited(): boolean {
    return this.#limiting || this.#sagging;
  }

  async #setVolts(volts: number): Promise<void> {
    this.#set = volts;
    this.#limiting = false;
    this.#sagging = false;
    const struck = this.#troubles.strike(this.#name, ['volts-ignored', 'other-volts']);
    if (struck?.kind === 'volts-ignored' && this.#live.on) {
      this.#lie = { on: true, volts: volts.toFixed(4) };
      return;
    }
    await this.#live.setSource(struck?.kind === 'other-volts' ? tooLittle * volts : volts);
  }

  /** The output comes by and by. */
  async #rise(seconds: number): Promise<void> {
    for (let part = 0; part < riseSteps; part++)
      this.#later((seconds * (part + 1)) / riseSteps, () =>
        this.#live.setSource((this.#set * (part + 1)) / riseSteps),
      );
    await this.#live.setSource(this.#set / riseSteps);
  }

  async #output(on: boolean): Promise<void> {
    this.#forgetTroubles();
    if (!on && this.#live.on && this.#staysOn()) return;
    if (this.#limited) await this.#setVolts(this.#set);
    const struck = on && !this.#live.on ? this.#troubles.strike(this.#name, outputTroubles) : null;
    const slow = on && !this.#live.on ? this.#troubles.strike(this.#name, ['slow-rise']) : null;
    if (slow) await this.#rise(slow.seconds);
    await this.#live.setPower(on);
    if (struck) this.#later(struck.after ?? usualAfter, () => this.#strike(struck));
  }

  /** Says that it is off, but is not, or not yet. */
  #staysOn(): boolean {
    const struck = this.#troubles.strike(this.#name, offTroubles);
    if (!struck) return false;
    this.#lie = { on: false, ...(struck.kind === 'stays-on-unread' && nothingRead) };
    if (struck.kind === 'off-late') this.#later(struck.seconds, () => this.#live.setPower(false));
    return true;
  }

  /** Nobody has fed the watchdog. */
  async #unfed(): Promise<void> {
    if (!this.#live.on) return;
    this.#latched |= voltageBit;
    await this.#output(false);
  }

  async #strike({ kind, seconds }: Trouble): Promise<void> {
    if (kind === 'gap-hidden') {
      this.#lie = { on: true, volts: this.#volts(), amps: await this.#amps() };
      await this.#live.setPower(false);
      this.#later(seconds, () => this.#endGap());
      return;
    }
    this.#latched |= kind === 'sag' ? currentBit : voltageBit;
    if (kind === 'sag') {
      this.#sagging = true;
      await this.#live.setSource(sagged * this.#set);
      this.#later(seconds, () => this.#setVolts(this.#set));
    } else await this.#live.setPower(false);
    if (kind === 'hiccup') this.#later(seconds, () => this.#live.setPower(true));
  }

  async #endGap(): Promise<void> {
    await this.#live.setPower(true);
    this.#lie = null;
  }

  #later(seconds: number, act: () => Promise<void>): void {
    this.#pending.push(setTimeout(() => void act(), seconds * 1000).unref());
  }

  #forgetTroubles(): void {
    for (const timer of this.#pending.splice(0)) clearTimeout(timer);
    this.#lie = null;
  }

  /** The voltage at which the lamp, taken for a resistor, would draw the limit; the set voltage where that is less. */
  async #limitCurrent(): Promise<void> {
    const { on, volts, simulation } = this.#live;
    if (!on || volts <= 0 || this.#sagging) return;
    const amps = simulation.state.watts / volts;
    if (amps <= this.#limit && !this.#limiting) return;
    const wanted = amps > 0 ? Math.min(this.#set, (volts * this.#limit) / amps) : this.#set;
    this.#limiting = wanted < this.#set;
    if (this.#limiting) this.#latched |= currentBit;
    if (wanted !== volts) await this.#live.setSource(wanted);
  }

  /** As event registers of SCPI are: reading forgets. */
  #readLatched(): string {
    const latched = this.#latched;
    this.#latched = this.#live.on && this.#limited ? currentBit : 0;
    return String(latched);
  }

  #volts(): string {
    return (this.#live.on ? this.#live.volts : 0).toFixed(4);
  }

  async #amps(): Promise<string> {
    const { volts, on, simulation } = this.#live;
    await this.#live.catchUp();
    return (on && volts > 0 ? simulation.state.watts / volts : 0).toFixed(5);
  }
}

function between(value: number, most: number): number {
  if (value >= 0 && value <= most) return value;
  throw new ScpiError(-222, `${value}`);
}
