import { pathChart } from '../../charts/colour-charts.ts';
import {
  deltaUv,
  type Tristimulus,
  xyToUv1976,
  xyToXyz,
  xyzToXy,
} from '../../colorimetry/chromaticity.ts';
import { mix } from '../../colorimetry/mixing.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import {
  colourBlindTo,
  meanColour,
  sensorContributions,
} from '../../features/colour/mean-colour.ts';
import { wayTo } from '../../features/colour/uv-way.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import type { CommandedChannel, Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { channelLevel } from '../../subject/commanded-light.ts';

/**
 * Distance in u'v' between the measured colour of a mix and the sum of its channels: each channel's colour as read
 * when it was lit alone (scaled to the level commanded now), or its nominal colour where there is no such reading.
 * Inputs: colour readings of the mix in the window, and of channels alone anywhere in the condition. Output: Δu'v'.
 * Not measurable: no readings of the mix, saturated or under-range ones, nothing commanded.
 * Fooled by: channels that were read alone when they were cooler than in the mix; a sensor that is not linear, for
 * which the sum is none; nominal colours that are not those of the LEDs.
 * Source: CIE 15 (additivity).
 */
export const mixingError: Metric = {
  id: 'mixing-error',
  title: "Deviation Δu'v' of a mix from the sum of its channels",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: [],
  source: 'cie-15',
  blindTo: colourBlindTo,
  compute(observation, { evidence = true } = {}) {
    const colour = meanColour(observation, observation.window);
    if (!isMeasurable(colour)) return colour;
    const at = (observation.window.from + observation.window.to) / 2;
    const parts = observation.commanded.channels.map((channel) => part(channel, observation, at));
    const sum = mix(parts.map(({ light }) => light));
    if (!(sum.Y > 0)) return notMeasurable('out-of-domain', { note: 'no light is commanded' });
    const aim = xyToUv1976(xyzToXy(sum));
    const alone = parts.filter((one) => one.alone).length;
    const notes = { 'channels-read-alone': alone, 'channels-nominal': parts.length - alone };
    const shown = evidence ? { charts: [pathChart(colour.readings, [aim])], notes } : noEvidence;
    const standard = standardUv(colour.xy, colour.standardXy);
    const value = deltaUv(colour.uv, aim);
    return {
      ...measured(value, shown, sensorContributions(colour, standard)),
      way: wayTo(colour, aim),
    };
  },
};

interface Share {
  readonly light: Tristimulus;
  readonly alone: boolean;
}

/** A channel's light at the level commanded at `at`. */
function part(channel: CommandedChannel, { colour, commanded }: Observation, at: number): Share {
  const level = channelLevel(channel, commanded.curve, at);
  const own = colour.find(
    (reading) =>
      reading.of === channel.channel &&
      reading.state === 'good' &&
      channelLevel(channel, commanded.curve, reading.at) > 0,
  );
  if (!own) {
    const [x, y] = channel.xy;
    return { light: xyToXyz({ x, y }, channel.lumen * level), alone: false };
  }
  const scale = level / channelLevel(channel, commanded.curve, own.at);
  return { light: { X: own.X * scale, Y: own.Y * scale, Z: own.Z * scale }, alone: true };
}
