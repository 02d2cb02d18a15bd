import type { Lamp, LampChannel } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';
import type { EmitterTraits } from './traits.ts';

/** Standard tolerance (k = 1) of a sorted LED's light and chromaticity after factory trim. Invented. */
const fluxTolerance = 0.01;
const xyTolerance = 0.0004;

/** The LEDs of each channel, drawn from one bin. */
export function healthyEmitters(lamp: Lamp, random: Random): EmitterTraits[] {
  return lamp.channels.map((channel) => healthyEmitter(channel, random));
}

function healthyEmitter(channel: LampChannel, random: Random): EmitterTraits {
  const [x, y] = channel.xy;
  // AlInGaP (red) loses more light with heat than InGaN does: common practice, no source; the figures are invented.
  const red = x > 0.6;
  return {
    flux: 1 + random.within(fluxTolerance),
    droop: red ? 0.05 : 0.25,
    lightPerKelvin: red ? -0.0015 : -0.0005,
    xy: [x + random.within(xyTolerance), y + random.within(xyTolerance)],
    xyPerLogCurrent: red ? [0.001, -0.001] : [-0.003, -0.004],
    xyPerKelvin: red ? [3e-5, -3e-5] : [-1e-5, -1e-5],
    forwardVoltage: channel.forwardVoltage * (1 + random.within(0.01)),
    dynamicResistance: (0.1 * channel.forwardVoltage) / channel.maxCurrent,
  };
}
