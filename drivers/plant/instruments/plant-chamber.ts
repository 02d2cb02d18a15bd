import type { Call, Chamber, ChamberReading } from '../../../harness/bench/ports.ts';
import { chamberLimits, mustBeAllowed } from '../../chamber-limits.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** An ideal chamber: its air is at once what it was told to be; the lamp in it follows with its own time constant. */
export class PlantChamber extends PlantInstrument<SettingsOf<'chamber'>> implements Chamber {
  readonly kind = 'chamber';
  private setPoint: number | null = null;

  async set({ celsius }: { readonly celsius: number }, call: Call): Promise<void> {
    this.open(call);
    mustBeAllowed(this.name, celsius, chamberLimits(this.parts.rig));
    this.setPoint = celsius;
    this.parts.plant.simulation.setAmbient(celsius);
  }

  async stop(call: Call): Promise<void> {
    this.open(call);
    this.setPoint = null;
    this.parts.plant.simulation.setAmbient(this.parts.rig.ambient);
  }

  async read(call: Call): Promise<ChamberReading> {
    this.open(call);
    const { rig } = this.parts;
    const celsius = this.setPoint ?? rig.ambient;
    return { celsius, setPoint: celsius, on: this.setPoint !== null };
  }
}
