import { pathChart } from '../../charts/colour-charts.ts';
import { xyToUv1976 } from '../../colorimetry/chromaticity.ts';
import { stepRadius, sdcmSteps as steps } from '../../colorimetry/sdcm.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import { colourBlindTo, colourNeed } from '../../features/colour/colour-need.ts';
import { meanColour } from '../../features/colour/mean-colour.ts';
import { targetColour, targetParameters } from '../../features/colour/target-colour.ts';
import type { Metric } from '../../metric.ts';
import { isRecord } from '../../observe.ts';
import { measured, noEvidence } from '../../outcome.ts';

/**
 * Steps (SDCM) between the mean colour of the window and a target: distance in u'v' / 0.0011.
 * Inputs: colour readings (XYZ); target x, y, or the commanded mix. Output: steps, a number.
 * Not measurable: as for uv-distance.
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
    if (!isRecord(colour)) return colour;
    const target = targetColour(observation);
    if (!isRecord(target)) return target;
    const aim = xyToUv1976(target);
    const notes = { x: colour.xy.x, y: colour.xy.y, 'target-x': target.x, 'target-y': target.y };
    const shown = evidence ? { charts: [pathChart(colour.readings, [aim])], notes } : noEvidence;
    const standard = standardUv(colour.xy, colour.standardXy) / stepRadius;
    return measured(steps(colour.uv, aim), shown, [{ name: 'colour sensor', standard }]);
  },
};
