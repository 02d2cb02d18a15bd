import { pathChart } from '../../charts/colour-charts.ts';
import { deltaUv } from '../../colorimetry/chromaticity.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import {
  colourBlindTo,
  type MeanColour,
  meanColour,
  sensorContributions,
} from '../../features/colour/mean-colour.ts';
import { darkReference } from '../../features/level/dark-reference.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Chromaticity shift: distance in u'v' between the mean colour of the window and that of the reference window.
 * Inputs: colour readings (XYZ). Output: Δu'v', a number; 0.0011 is one SDCM step.
 * Not measurable: no readings, saturated or under-range ones, dark, no reference.
 * Source: CIE 15 (CIE 1976 uniform chromaticity scale diagram).
 */
export const uvShift: Metric = {
  id: 'uv-shift',
  title: "Chromaticity shift Δu'v'",
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: { ...colourNeed, reference: true },
  parameters: [],
  source: 'cie-15',
  blindTo: colourBlindTo,
  compute(observation, { evidence = true } = {}) {
    if (!observation.reference) return notMeasurable('no-reference');
    const here = meanColour(observation, observation.window);
    if (!isMeasurable(here)) return here;
    const there = meanColour(observation, observation.reference);
    if (!isMeasurable(there)) {
      return there.reason === 'dark'
        ? darkReference(observation, observation.reference)
        : { ...there, reason: 'no-reference' };
    }
    const shown = evidence
      ? {
          charts: [pathChart(here.readings, [there.uv])],
          notes: { ...notesOf(here, ''), ...notesOf(there, 'reference-') },
        }
      : noEvidence;
    const contributions = [here, there].flatMap((colour) =>
      sensorContributions(colour, standardUv(colour.xy, colour.standardXy)),
    );
    return measured(deltaUv(here.uv, there.uv), shown, contributions);
  },
};

function notesOf({ uv, Y }: MeanColour, prefix: string) {
  return { [`${prefix}u'`]: uv.u, [`${prefix}v'`]: uv.v, [`${prefix}Y`]: Y };
}
