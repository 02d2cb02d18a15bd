import type { Call, ColourSensor } from '../../../harness/bench/ports.ts';
import type { Wire } from '../../../harness/bench/rig.ts';
import type { SensorReading } from '../../../harness/measure/observation.ts';
import { tristimulus } from '../optics/channel-light.ts';
import type { SettingsOf } from '../plant-driver.ts';
import { Random } from '../random.ts';
import { calibrationError } from '../sensors/calibration-error.ts';
import { meanTristimulus } from './mean-tristimulus.ts';
import { PlantInstrument } from './plant-instrument.ts';

/** lx and s at which the setting `noise-xy` holds; noise grows as light and time shrink (shot noise). */
const referenceLight = 100;
/** Multiples of its noise that Y has to reach to be called a reading. */
const leastSignal = 10;

/** A tristimulus sensor that integrates from the call on. */
export class PlantColourSensor
  extends PlantInstrument<SettingsOf<'colour-sensor'>>
  implements ColourSensor
{
  readonly kind = 'colour-sensor';
  private readings = 0;

  async read(
    { integration }: { readonly integration: number },
    call: Call,
  ): Promise<SensorReading> {
    this.open(call);
    if (!(integration > 0)) {
      throw this.error(
        'unsupported',
        `an integration time of ${integration} s gives no reading; use more than 0 s`,
      );
    }
    const start = this.parts.clock.now();
    const number = this.readings++;
    await this.until(start + integration, call.signal);
    return this.take(start, integration, number);
  }

  private take(start: number, integration: number, number: number): SensorReading {
    const { plant, rig, seed, lampSeed, instrument } = this.parts;
    const wire = this.wire();
    const { 'standard-xy': standardXy, 'noise-xy': noiseXy } = instrument.settings;
    const { X, Y, Z } = meanTristimulus({ plant, rig, wire }, start, integration);
    const { calibrationSpread, noise } = plant.model.sensors;
    const error = calibrationError(rig, wire, lampSeed, calibrationSpread);
    const own = new Random(lampSeed, `colour calibration/${this.name}`);
    const random = new Random(seed, `colour noise/${this.name}/${number}`);
    const weakness = Math.sqrt(referenceLight / Math.max(Y, 1e-9) / integration);
    const spread = noise * noiseXy * weakness;
    const noiseY = (noise * wire.noise) / Math.sqrt(integration);
    const y = Y * (1 + error.scale) + error.offset + noiseY * random.gaussian();
    const sum = X + Y + Z;
    const at = start + integration / 2;
    const dark = { at, integration, X: 0, Y: Math.max(0, y), Z: 0, standardXy };
    if (Y < leastSignal * noiseY || sum <= 0) return { ...dark, state: 'under-range' };
    const cx = X / sum + calibrationSpread * own.within(standardXy) + spread * random.gaussian();
    const cy = Y / sum + calibrationSpread * own.within(standardXy) + spread * random.gaussian();
    const state = y > wire.fullScale ? 'saturated' : 'good';
    return {
      at,
      integration,
      ...tristimulus(Math.min(y, wire.fullScale), cx, cy),
      state,
      standardXy,
    };
  }

  private wire(): Wire {
    const wire = this.parts.rig.wiring.find(({ instrument }) => instrument === this.name);
    if (wire) return wire;
    throw this.error('unsupported', 'it is not wired; add a line with signal colour to the wiring');
  }
}
