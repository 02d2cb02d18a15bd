import type { Call, Thermometer } from '../../../harness/bench/ports.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** An ideal probe in the air about the simulated lamp. */
export class PlantThermometer
  extends PlantInstrument<SettingsOf<'thermometer'>>
  implements Thermometer
{
  readonly kind = 'thermometer';

  async read(call: Call): Promise<{ readonly celsius: number }> {
    this.open(call);
    return { celsius: this.parts.plant.model.thermal.ambient };
  }
}
