import type { Lamp, LampChannel } from '../bench/lamp.ts';
import { xyToCctOhno2013 } from '../measure/colorimetry/cct-ohno-2013.ts';
import { type Tristimulus, xyToUv1976, xyzToXy } from '../measure/colorimetry/chromaticity.ts';
import { stepsBetween } from '../measure/colorimetry/sdcm.ts';
import type { Deviation } from './deviation.ts';

/** What one channel gives at rest: relative current, and tristimulus values at 1 lx for each lumen. */
export interface RestingChannel {
  readonly current: number;
  readonly light: Tristimulus;
}

/** As the claims have it: seven SDCM steps for lamps that mix several LEDs, 5 % of a colour temperature (common practice, no source). */
const mostSteps = 7;
const cctTolerance = 0.05;
/** Relative: bins, heat and sensors together stay within it (common practice, no source). */
const fluxTolerance = 0.15;
/** Relative light of a channel from which on its colour can be told. */
const least = 5e-3;

/** Light and colour of each channel against the lamp file, and of the mix against the colour temperature that was asked for. */
export function restColour(
  lamp: Lamp,
  channels: readonly RestingChannel[],
  mirek: number | null,
): Deviation | null {
  for (const [index, nominal] of lamp.channels.entries()) {
    const own = channels[index];
    const wrong = own && own.current >= least ? channelDeviation(nominal, own) : null;
    if (wrong) return wrong;
  }
  return mirek === null ? null : temperatureDeviation(channels, mirek);
}

function channelDeviation(
  { channel, lumen, xy: [x, y] }: LampChannel,
  { current, light }: RestingChannel,
): Deviation | null {
  const flux = light.Y / lumen / current;
  if (Math.abs(flux - 1) > fluxTolerance)
    return {
      kind: 'finding',
      what: `light of ${channel} at rest`,
      reason: `Channel ${channel} gives ${perCent(flux)} of the light that the lamp file has for its current, where ${perCent(1 - fluxTolerance)} to ${perCent(1 + fluxTolerance)} are allowed.`,
    };
  const steps = stepsBetween(xyToUv1976(xyzToXy(light)), xyToUv1976({ x, y }));
  if (steps <= mostSteps) return null;
  return {
    kind: 'finding',
    what: `colour of ${channel} at rest`,
    reason: `Channel ${channel} lies ${steps.toFixed(1)} SDCM steps from the colour that the lamp file has, where ${mostSteps} are allowed.`,
  };
}

function temperatureDeviation(
  channels: readonly RestingChannel[],
  mirek: number,
): Deviation | null {
  const sum = (part: keyof Tristimulus) =>
    channels.reduce((total, { light }) => total + light[part], 0);
  const mixed = { X: sum('X'), Y: sum('Y'), Z: sum('Z') };
  const brightest = Math.max(...channels.map(({ current }) => current));
  const found = brightest >= least ? xyToCctOhno2013(xyzToXy(mixed))?.cct : undefined;
  const wanted = 1e6 / mirek;
  if (found === undefined || Math.abs(found / wanted - 1) <= cctTolerance) return null;
  return {
    kind: 'finding',
    what: 'colour temperature at rest',
    reason: `The light has ${Math.round(found)} K, where ${Math.round(wanted)} K were asked for, and ${perCent(cctTolerance)} more or less are allowed.`,
  };
}

function perCent(ratio: number): string {
  return `${Number((100 * ratio).toPrecision(3))} %`;
}
