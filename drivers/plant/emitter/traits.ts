import type { Lamp, LampChannel } from '../../../harness/bench/lamp.ts';
import type { Random } from '../random.ts';

/** The LEDs of one channel. */
export interface EmitterTraits {
  /** Full light over the nominal one at nominal current and reference temperature. */
  flux: number;
  /** Efficacy is (1 + droop) / (1 + droop * I/Imax) of the nominal one. */
  droop: number;
  /** Relative change of light per kelvin. */
  lightPerKelvin: number;
  /** Chromaticity at nominal current and reference temperature, CIE 1931. */
  xy: readonly [number, number];
  /** Change of (x, y) per natural logarithm of the current, and per kelvin. */
  xyPerLogCurrent: readonly [number, number];
  xyPerKelvin: readonly [number, number];
  /** V at nominal current; ohm of the slope about it. */
  forwardVoltage: number;
  dynamicResistance: number;
}

/** Standard tolerance (k = 1) of a sorted LED's light and chromaticity after factory trim. Invented. */
const fluxTolerance = 0.01;
const xyTolerance = 0.0004;

/** Standard tolerance of a string's forward voltage, relative, where the lamp file does not say. Invented. */
const voltageTolerance = 0.01;

/** The LEDs of a channel, drawn from one bin. */
export function healthyEmitter(
  channel: LampChannel,
  random: Random,
  { forwardVoltage = voltageTolerance }: NonNullable<Lamp['spread']> = {},
): EmitterTraits {
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
    forwardVoltage: channel.forwardVoltage * (1 + random.within(forwardVoltage)),
    dynamicResistance: (0.1 * channel.forwardVoltage) / channel.maxCurrent,
  };
}
