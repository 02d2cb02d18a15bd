import type { Rig } from '../../../harness/bench/rig.ts';
import type { LivePlant } from './live-plant.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import { numberArg, onlyArg, type ScpiCommand, type ScpiModel } from './scpi/scpi-instrument.ts';

/** The command set of the lamp's source. Its current limit is a figure only: a lamp that draws too much is not cut off. */
export class SupplyModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #live: LivePlant;
  #limit: number;
  readonly #highestAmps: number;

  constructor(live: LivePlant, supply: Rig['supply'], identity: string) {
    this.identity = identity;
    this.#live = live;
    this.#highestAmps = supply?.highestAmps ?? 10;
    this.#limit = this.#highestAmps;
    const highestVolts = supply?.highestVolts ?? 300;
    this.commands = [
      {
        header: '[SOURce:]VOLTage[:LEVel]',
        set: (call) => live.setSource(between(numberArg(call), highestVolts)),
        ask: () => live.volts.toFixed(3),
      },
      {
        header: '[SOURce:]CURRent[:LIMit]',
        set: (call) => void (this.#limit = between(numberArg(call), this.#highestAmps)),
        ask: () => this.#limit.toFixed(3),
      },
      {
        header: 'OUTPut[:STATe]',
        set: (call) => live.setPower(isOn(onlyArg(call))),
        ask: () => (live.on ? '1' : '0'),
      },
      { header: 'MEASure:VOLTage[:DC]', ask: () => (live.on ? live.volts : 0).toFixed(4) },
      { header: 'MEASure:CURRent[:DC]', ask: () => this.#amps() },
    ];
  }

  async reset(): Promise<void> {
    await this.#live.setPower(false);
    await this.#live.setSource(0);
    this.#limit = this.#highestAmps;
  }

  async finished(): Promise<void> {}

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

function isOn(word: string): boolean {
  if (/^(1|ON)$/i.test(word)) return true;
  if (/^(0|OFF)$/i.test(word)) return false;
  throw new ScpiError(-224, word);
}
