import type { Call, PowerSwitch, SwitchReading } from '../../../harness/bench/ports.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** An ideal switch between the simulated lamp and its source. */
export class PlantSwitch extends PlantInstrument<SettingsOf<'switch'>> implements PowerSwitch {
  readonly kind = 'switch';
  private on = false;

  async output(on: boolean, call: Call): Promise<void> {
    this.open(call);
    this.on = on;
    this.parts.plant.simulation.setPower(on);
  }

  async read(call: Call): Promise<SwitchReading> {
    this.open(call);
    const { watts } = this.parts.plant.simulation.state;
    return { on: this.on, watts: this.on ? watts : 0 };
  }
}
