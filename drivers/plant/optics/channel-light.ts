import type { Tristimulus } from '../../../harness/measure/colorimetry/chromaticity.ts';
import { emission } from '../emitter/emission.ts';
import type { Epoch } from '../epoch.ts';
import type { ChannelModel, PlantModel } from '../model.ts';
import type { ChannelPart } from '../modulator/gate-mean.ts';

/** XYZ of light of illuminance `Y` and chromaticity (x, y): X = Y x / y, Z = Y (1 - x - y) / y (CIE 15). */
export function tristimulus(Y: number, x: number, y: number): Tristimulus {
  return { X: (Y * x) / y, Y, Z: (Y * (1 - x - y)) / y };
}

const dark: Tristimulus = { X: 0, Y: 0, Z: 0 };

/** Illuminance and colour that the sensors get from a channel at a constant LED current, lx. */
function lightOf(
  model: PlantModel,
  { emitter, nominal, luxPerLumen }: ChannelModel,
  current: number,
  temperature: number,
): Tristimulus {
  if (current <= 0) return dark;
  const { lumen, x, y } = emission(
    emitter,
    { lumen: nominal.lumen, current: nominal.maxCurrent },
    current,
    temperature - model.thermal.reference,
  );
  return tristimulus(lumen * luxPerLumen, x, y);
}

/** Current at an analogue drive 0..1 of a channel whose full current is `full`, with the converter's offset, A. */
export function analogueCurrent(
  { analogueOffset, nominal }: ChannelModel,
  full: number,
  drive: number,
): number {
  if (drive <= 0) return 0;
  return Math.max(0, drive * full + analogueOffset * nominal.maxCurrent);
}

/** What a channel gives to one component of the mixed light, its neighbour's glow by crosstalk included. */
export function lightContribution(
  model: PlantModel,
  { temperature }: Epoch,
  channel: ChannelModel,
  full: number,
  component: keyof Tristimulus,
): ChannelPart {
  const at = (amps: number): number => {
    const own = mixedWithNext(model, channel, lightOf(model, channel, amps, temperature))[
      component
    ];
    const { crosstalk } = model.stage;
    if (crosstalk === 0) return own;
    const neighbour = nextTo(channel, model);
    return own + lightOf(model, neighbour, crosstalk * amps, temperature)[component];
  };
  return { on: at(full), analogue: (drive) => at(analogueCurrent(channel, full, drive)) };
}

/** Light of a channel, a part of which comes out in the colour of the next one. */
function mixedWithNext(model: PlantModel, channel: ChannelModel, own: Tristimulus): Tristimulus {
  const { crosstalk } = model.optics;
  if (crosstalk === 0) return own;
  const [x, y] = nextTo(channel, model).emitter.xy;
  const other = tristimulus(own.Y, x, y);
  return {
    X: (1 - crosstalk) * own.X + crosstalk * other.X,
    Y: own.Y,
    Z: (1 - crosstalk) * own.Z + crosstalk * other.Z,
  };
}

/** The channel after this one, and the first after the last. */
function nextTo(channel: ChannelModel, { channels }: PlantModel): ChannelModel {
  return channels[(channels.indexOf(channel) + 1) % channels.length] ?? channel;
}

/** Light that is there whatever the gates do: leakage through the LEDs, and stray light of the room (as equal energy). */
export function constantLight(
  model: PlantModel,
  { rail, temperature }: Epoch,
  component: keyof Tristimulus,
): number {
  if (rail <= 0) return model.optics.stray;
  const leaks = model.channels.map(
    (channel) => lightOf(model, channel, channel.leakage, temperature)[component],
  );
  return leaks.reduce((sum, value) => sum + value, model.optics.stray);
}
