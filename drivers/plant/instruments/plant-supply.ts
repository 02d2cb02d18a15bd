import type { Call, Supply } from '../../../harness/bench/ports.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** The source of the simulated lamp: volts DC, or volts rms of the mains. */
export class PlantSupply extends PlantInstrument<SettingsOf<'supply'>> implements Supply {
  readonly kind = 'supply';
  private volts = 0;
  private on = false;

  async set(
    { volts }: { readonly volts: number; readonly limitAmps?: number },
    call: Call,
  ): Promise<void> {
    this.open(call);
    const highest = this.parts.rig.supply?.highestVolts ?? Number.POSITIVE_INFINITY;
    if (!(volts >= 0 && volts <= highest)) {
      throw this.error(
        'refused',
        `it cannot be set to ${volts} V: the rig file allows 0 to ${highest} V; nothing was changed`,
      );
    }
    this.volts = volts;
    this.parts.plant.simulation.setSource(volts);
  }

  async output(on: boolean, call: Call): Promise<void> {
    this.open(call);
    this.on = on;
    this.parts.plant.simulation.setPower(on);
  }

  async read(call: Call): Promise<{ volts: number; amps: number; on: boolean }> {
    this.open(call);
    const { watts } = this.parts.plant.simulation.state;
    const lit = this.on && this.volts > 0;
    return { volts: this.on ? this.volts : 0, amps: lit ? watts / this.volts : 0, on: this.on };
  }
}
