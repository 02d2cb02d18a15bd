import { pathChart } from '../../charts/colour-charts.ts';
import { deltaUv, xyToUv1976 } from '../../colorimetry/chromaticity.ts';
import { stepRadius, stepsBetween } from '../../colorimetry/sdcm.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import {
  colourBlindTo,
  meanColour,
  sensorContributions,
} from '../../features/colour/mean-colour.ts';
import { targetColour, targetParameters } from '../../features/colour/target-colour.ts';
import { wayTo } from '../../features/colour/uv-way.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Distance in u'v' between the mean colour of the window and a target chromaticity.
 * Inputs: colour readings (XYZ); target x, y, or the commanded mix. Output: Δu'v', a number.
 * Not measurable: no readings, saturated or under-range ones, dark, no target.
 * Fooled by: as for chromaticity-x. An error of the sensor that all lamps share looks like a distance.
 * Source: CIE 15 (CIE 1976 uniform chromaticity scale diagram).
 */
export const uvDistance: Metric = {
  id: 'uv-distance',
  title: "Distance Δu'v' from the target chromaticity",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: targetParameters,
  source: 'cie-15',
  blindTo: colourBlindTo,
  compute(observation, { evidence = true } = {}) {
    const colour = meanColour(observation, observation.window);
    if (!isMeasurable(colour)) return colour;
    const target = targetColour(observation);
    if (!isMeasurable(target)) return target;
    const aim = xyToUv1976(target);
    const notes = { x: colour.xy.x, y: colour.xy.y, 'target-x': target.x, 'target-y': target.y };
    const shown = evidence ? { charts: [pathChart(colour.readings, [aim])], notes } : noEvidence;
    const standard = standardUv(colour.xy, colour.standardXy);
    const value = deltaUv(colour.uv, aim);
    return {
      ...measured(value, shown, sensorContributions(colour, standard)),
      way: wayTo(colour, aim),
    };
  },
};

/**
 * Steps (SDCM) between the mean colour of the window and a target: distance in u'v' / 0.0011.
 * Inputs: colour readings (XYZ); target x, y, or the commanded mix. Output: steps, a number.
 * Not measurable: as for uv-distance.
 * Fooled by: as for uv-distance; SDCM ellipses of other definitions, which differ from these circles away from the
 * centre colours.
 * Source: CIE TN 001:2014 3.2 (the figure 0.0011 from memory).
 */
export const sdcmSteps: Metric = {
  id: 'sdcm-steps',
  title: 'Steps (SDCM) from the target chromaticity',
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: targetParameters,
  source: 'cie-tn-001',
  blindTo: colourBlindTo,
  compute(observation, { evidence = true } = {}) {
    const colour = meanColour(observation, observation.window);
    if (!isMeasurable(colour)) return colour;
    const target = targetColour(observation);
    if (!isMeasurable(target)) return target;
    const aim = xyToUv1976(target);
    const notes = { x: colour.xy.x, y: colour.xy.y, 'target-x': target.x, 'target-y': target.y };
    const shown = evidence ? { charts: [pathChart(colour.readings, [aim])], notes } : noEvidence;
    const standard = standardUv(colour.xy, colour.standardXy) / stepRadius;
    const value = stepsBetween(colour.uv, aim);
    return {
      ...measured(value, shown, sensorContributions(colour, standard)),
      way: wayTo(colour, aim),
    };
  },
};
