import { excursionChart } from '../../charts/colour-charts.ts';
import { deltaUv, type Uv1976 } from '../../colorimetry/chromaticity.ts';
import { mix } from '../../colorimetry/mixing.ts';
import { type ColourPoint, colourCourse, uvOf } from '../../features/colour/colour-course.ts';
import { commandedMeanColour } from '../../features/colour/commanded-colour.ts';
import type { Metric, Need } from '../../metric.ts';
import { channelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { commandedLevel } from '../../subject/commanded-light.ts';

const needs: Need = {
  ...channelNeed,
  signals: ['channel-current'],
  scope: 'all-channels',
  zero: true,
};

/** Noise of an average in u'v' beyond which it does not count: half an SDCM step of 0.0011. */
const visible = 0.00055;
/** A lamp with less of the commanded light on average is dark. */
const alight = 0.01;
/** Averages that a course needs. */
const fewest = 5;

/**
 * Temporal chromaticity: the largest distance in u'v' of the mixed light at any instant from its mean colour over the
 * window. The light of each channel is its current over its nominal current times its nominal light and chromaticity, averaged
 * (Hann) over `smoothing`: swings much faster than that are not seen.
 * Inputs: every channel's LED current (A). Output: Δu'v'; 0.0011 is one SDCM step. The LEDs' own shift with current and
 * temperature is not in it (uv-shift sees that). Channels that a rig records in turns show each channel's swing, but not how
 * the swings of several fall together.
 * Not measurable: a channel not recorded, no sound samples; dark; lost in noise at any instant at which light is
 * commanded.
 * Fooled by: chromaticities in the lamp file that are not those of the LEDs; swings faster than `smoothing`; channels
 * that are recorded in turns.
 * Source: CIE 15 (additivity, u'v'); its use over time is common practice, no source.
 */
export const chromaticityExcursion: Metric = {
  id: 'chromaticity-excursion',
  title: "Largest excursion Δu'v' of the colour over time",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.02,
      about:
        'width of the window that the light is averaged over; the eye follows changes of colour up to about 25 Hz (from memory)',
    },
  ],
  source: 'cie-15',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const width = Number(observation.parameters['smoothing'] ?? 0.02);
    const course = colourCourse(observation, needs, width);
    if (!isMeasurable(course)) return course;
    const points = course.points.filter(({ at }) => commandedLevel(observation, at) > 0);
    if (points.length < fewest) {
      const facts = {
        found: points.length,
        needed: fewest,
        unit: '1',
        note: 'averages with light',
      };
      return notMeasurable('too-short', facts);
    }
    const refused = whyUnseen(points, observation);
    if (refused) return refused;
    const mean = uvOf(mix(points.map(({ light }) => light)));
    const worst = farthest(points, mean);
    const noise = Math.max(...points.map((point) => point.noise));
    const shown = evidence
      ? {
          charts: [excursionChart(points, mean)],
          notes: { at: worst.at, "u'": mean.u, "v'": mean.v },
        }
      : noEvidence;
    const contributions = [{ name: 'noise of the averages', standard: worst.noise, isNoise: true }];
    return measured(deltaUv(worst.uv, mean), shown, contributions, 2 * noise);
  },
};

/** A colour that noise hides at any instant at which light is commanded may be anywhere: nothing is said of the others. */
function whyUnseen(points: readonly ColourPoint[], observation: Observation): NotMeasurable | null {
  const unseen = points.filter(({ light, noise }) => !(light.Y > 0 && noise < visible)).length;
  if (unseen === 0) return null;
  const light = points.reduce((sum, point) => sum + point.light.Y, 0) / points.length;
  const asked = commandedMeanColour(observation, observation.window).Y;
  if (light < alight * asked) return notMeasurable('dark', { note: 'no channel gives light' });
  return notMeasurable('below-noise', {
    found: 1 - unseen / points.length,
    needed: 1,
    unit: '1',
    note: 'part of the window that rises above the noise',
  });
}

function farthest(points: readonly ColourPoint[], mean: Uv1976): ColourPoint {
  return points.reduce((one, two) => (deltaUv(two.uv, mean) > deltaUv(one.uv, mean) ? two : one));
}
