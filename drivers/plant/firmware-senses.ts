import type { LampState } from './lamp-state.ts';

/** What lamp-port.h resolves: mV, mW and thousandths of a degree. */
const perUnit = 1e3;

/** What the firmware could read of its lamp when it went idle. (Its energy meter counts on all the time, like its clock.) */
export class FirmwareSenses {
  readonly #state: LampState;
  #volts = 0;
  #watts = 0;
  #celsius = 0;

  constructor(state: LampState) {
    this.#state = state;
  }

  /** The firmware has just seen it all. */
  note(): void {
    const { present, watts, sensedTemperature: temperature } = this.#state;
    this.#volts = Math.round(present.source * perUnit);
    this.#watts = Math.round(watts * perUnit);
    this.#celsius = Math.round(temperature * perUnit);
  }

  /** A reading is another one since then, as far as the firmware can tell. */
  changed(): boolean {
    const { present, watts, sensedTemperature: temperature } = this.#state;
    return (
      Math.round(present.source * perUnit) !== this.#volts ||
      Math.round(temperature * perUnit) !== this.#celsius ||
      Math.round(watts * perUnit) !== this.#watts
    );
  }
}
