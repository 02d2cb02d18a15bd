import type { PlantSpectrometer } from '../instruments/plant-spectrometer.ts';
import type { LivePlant } from './live-plant.ts';
import { ScpiError } from './scpi/scpi-error.ts';
import { numberArg, type ScpiCommand, type ScpiModel } from './scpi/scpi-instrument.ts';
import type { Troubles } from './trouble.ts';

const shortest = 1e-3;
const longest = 10;
/** W/m³ in W/(m² nm). */
const perNanometre = 1e-9;
const states = { good: 0, saturated: 1, 'under-range': 2 } as const;
/** A converter that is full clips at this part of the strongest value. */
const clipped = 0.7;

/** The command set of the spectrometer on top of the simulated one. */
export class SpectrometerModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];
  readonly #name: string;
  readonly #spectrometer: PlantSpectrometer;
  readonly #live: LivePlant;
  readonly #troubles: Troubles;
  #integration = 0.1;
  #state: number = states.good;
  #darkTaken = false;

  constructor(
    name: string,
    spectrometer: PlantSpectrometer,
    live: LivePlant,
    troubles: Troubles,
    identity: string,
  ) {
    this.#name = name;
    this.#spectrometer = spectrometer;
    this.#live = live;
    this.#troubles = troubles;
    this.identity = identity;
    this.commands = [
      {
        header: 'SENSe:INTegration',
        set: (call) => this.#setIntegration(numberArg(call)),
        ask: () => String(this.#integration),
      },
      { header: 'SENSe:DARK', set: () => void (this.#darkTaken = true) },
      { header: 'READ:SPECtrum', ask: () => this.#read() },
      { header: 'STATus:SPECtrum', ask: () => String(this.#state) },
    ];
  }

  reset(): void {
    this.#integration = 0.1;
    this.#darkTaken = false;
  }

  async finished(): Promise<void> {}

  #setIntegration(seconds: number): void {
    if (!(seconds >= shortest && seconds <= longest)) throw new ScpiError(-222, `${seconds}`);
    this.#darkTaken &&= seconds === this.#integration;
    this.#integration = seconds;
  }

  async #read(): Promise<string> {
    await this.#live.catchUp();
    const call = { signal: new AbortController().signal, deadline: Number.POSITIVE_INFINITY };
    const integration = this.#integration;
    const { values, state } = await this.#spectrometer.measure({ integration }, call);
    const saturated = this.#troubles.strike(this.#name, ['saturated']) !== null;
    this.#state = saturated ? states.saturated : states[state];
    const strongest = values.reduce((most, value) => Math.max(most, value), 0);
    const most = saturated ? clipped * strongest : Number.POSITIVE_INFINITY;
    // Without a dark of this integration time its own dark current lies under every value. Invented.
    const dark = this.#darkTaken ? 0 : 0.02 * strongest;
    const shown = Array.from(values, (value) => Math.min(value + dark, most) * perNanometre);
    return shown.map((value) => value.toPrecision(6)).join(',');
  }
}
