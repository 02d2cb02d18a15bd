import type { RigChamber } from '../../../harness/bench/rig.ts';
import type { ChamberAir } from './chamber-air.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import {
  isOn,
  numberArg,
  onlyArg,
  type ScpiCommand,
  type ScpiModel,
} from './scpi/scpi-instrument.ts';
import type { Troubles } from './trouble.ts';

/** K beyond the set point in the trouble `air-overshoot`, and away from it in `air-leaves`. */
const beyond = 6;
/** Alarm register: bit 0. */
const doorBit = 1;
const widest: Pick<RigChamber, 'lowest' | 'highest'> = { lowest: -40, highest: 90 };

/** The command set of the chamber about the lamp. */
export class ChamberModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #name: string;
  readonly #air: ChamberAir;
  readonly #troubles: Troubles;
  #setPoint: number;
  #on = false;
  #left = false;

  constructor(
    name: string,
    air: ChamberAir,
    limits: Pick<RigChamber, 'lowest' | 'highest'> = widest,
    troubles: Troubles,
    identity: string,
  ) {
    this.identity = identity;
    this.#name = name;
    this.#air = air;
    this.#troubles = troubles;
    this.#setPoint = Number(air.celsius.toFixed(1));
    this.commands = [
      {
        header: '[SOURce:]TEMPerature[:SETPoint]',
        set: (call) => this.#set(between(numberArg(call), limits)),
        ask: () => this.#setPoint.toFixed(2),
      },
      {
        header: 'OUTPut[:STATe]',
        set: (call) => this.#switch(isOn(onlyArg(call))),
        ask: () => (this.#on ? '1' : '0'),
      },
      { header: 'MEASure:TEMPerature', ask: () => this.#read() },
      { header: 'STATus:ALARm', ask: () => this.#alarms() },
    ];
  }

  reset(): void {
    this.#switch(false);
  }

  async finished(): Promise<void> {}

  close(): void {
    this.#air.close();
  }

  #set(celsius: number): void {
    this.#setPoint = celsius;
    this.#left = false;
    if (this.#on) this.#condition();
  }

  #switch(on: boolean): void {
    this.#on = on;
    if (on) this.#condition();
    else this.#air.goToRoom();
  }

  #condition(): void {
    const struck = this.#troubles.strike(this.#name, ['door-open', 'air-stuck', 'air-overshoot']);
    if (struck?.kind === 'air-stuck') return;
    if (struck?.kind === 'door-open') this.#air.openDoor();
    const wanted = this.#setPoint;
    const over = wanted + Math.sign(wanted - this.#air.celsius) * beyond;
    this.#air.goTo(wanted, struck?.kind === 'air-overshoot' ? over : null);
  }

  #read(): string {
    const { lampOn } = this.#air;
    if (lampOn && !this.#left && this.#troubles.strike(this.#name, ['air-leaves'])) {
      this.#left = true;
      this.#air.goTo(this.#setPoint + beyond);
    }
    return this.#air.celsius.toFixed(2);
  }

  #alarms(): string {
    return String(this.#troubles.strike(this.#name, ['door-alarm']) ? doorBit : 0);
  }
}

function between(value: number, { lowest, highest }: { lowest: number; highest: number }): number {
  if (value >= lowest && value <= highest) return value;
  throw new ScpiError(-222, `${value}`);
}
