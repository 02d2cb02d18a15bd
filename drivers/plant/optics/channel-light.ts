import type { Lamp } from '../../../harness/bench/lamp.ts';
import { emission } from '../emitter/emission.ts';
import type { Epoch } from '../lamp-state.ts';
import type { PlantModel } from '../model.ts';
import type { Contribution } from '../modulator/gate-mean.ts';

/** CIE 1931 tristimulus values at the sensor, Y in lx. */
export interface Tristimulus {
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
}

/** XYZ of light of illuminance `Y` and chromaticity (x, y): X = Y x / y, Z = Y (1 - x - y) / y (CIE 15). */
export function tristimulus(Y: number, x: number, y: number): Tristimulus {
  return { X: (Y * x) / y, Y, Z: (Y * (1 - x - y)) / y };
}

const dark: Tristimulus = { X: 0, Y: 0, Z: 0 };

/** Illuminance and colour that the sensors get from channel `index` at a constant LED current, lx. */
export function lightOf(
  lamp: Lamp,
  model: PlantModel,
  index: number,
  current: number,
  temperature: number,
): Tristimulus {
  const emitter = model.emitter[index];
  const channel = lamp.channels[index];
  if (!emitter || !channel || current <= 0) return dark;
  const nominal = { lumen: channel.lumen, current: channel.maxCurrent };
  const { lumen, x, y } = emission(
    emitter,
    nominal,
    current,
    temperature - model.thermal.reference,
  );
  return tristimulus(lumen * model.optics.luxPerLumen[index]!, x, y);
}

/** Current at an analogue drive 0..1 of a channel whose full current is `full`, with the converter's offset, A. */
export function analogueCurrent(
  lamp: Lamp,
  model: PlantModel,
  index: number,
  full: number,
  drive: number,
): number {
  if (drive <= 0) return 0;
  const offset = model.stage.analogueOffset[index]! * lamp.channels[index]!.maxCurrent;
  return Math.max(0, drive * full + offset);
}

/** Contribution of channel `index` to one component of the mixed light, its neighbour's glow by crosstalk included. */
export function lightContribution(
  lamp: Lamp,
  model: PlantModel,
  epoch: Epoch,
  index: number,
  component: keyof Tristimulus,
): Contribution {
  const { current } = epoch.channels[index]!;
  const at = (amps: number): number => {
    const own = lightOf(lamp, model, index, amps, epoch.temperature)[component];
    const { crosstalk } = model.stage;
    if (crosstalk === 0) return own;
    const next = (index + 1) % lamp.channels.length;
    return own + lightOf(lamp, model, next, crosstalk * amps, epoch.temperature)[component];
  };
  return {
    on: at(current),
    analogue: (drive) => at(analogueCurrent(lamp, model, index, current, drive)),
  };
}

/** Light that is there whatever the gates do: leakage through the LEDs, and stray light of the room (as equal energy). */
export function constantLight(
  lamp: Lamp,
  model: PlantModel,
  epoch: Epoch,
  component: keyof Tristimulus,
): number {
  if (epoch.rail <= 0) return model.optics.stray;
  const leaks = lamp.channels.map(
    (_, index) =>
      lightOf(lamp, model, index, model.stage.leakage[index]!, epoch.temperature)[component],
  );
  return leaks.reduce((sum, value) => sum + value, model.optics.stray);
}
