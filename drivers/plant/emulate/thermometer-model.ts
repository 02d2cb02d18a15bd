import type { LivePlant } from './live-plant.ts';
import type { ScpiCommand, ScpiModel } from './scpi/scpi-instrument.ts';

/** The command set of the probe beside the lamp. */
export class ThermometerModel implements ScpiModel {
  readonly identity: string;
  readonly commands: readonly ScpiCommand[];

  constructor(live: LivePlant, identity: string) {
    this.identity = identity;
    this.commands = [
      { header: 'MEASure:TEMPerature', ask: () => live.model.thermal.ambient.toFixed(2) },
    ];
  }

  reset(): void {}

  async finished(): Promise<void> {}
}
