import { pathChart } from '../../charts/colour-charts.ts';
import { deltaUv } from '../../colorimetry/chromaticity.ts';
import { standardUv } from '../../colorimetry/uv-uncertainty.ts';
import {
  colourBlindTo,
  type MeanColour,
  meanColour,
  sensorContributions,
} from '../../features/colour/mean-colour.ts';
import { wayTo } from '../../features/colour/uv-way.ts';
import { darkReference } from '../../features/level/dark-reference.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import type { Observation, Window } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';

/**
 * Chromaticity shift: distance in u'v' between the mean colour of the window and that of the reference window.
 * Inputs: colour readings (XYZ). Output: Δu'v', a number; 0.0011 is one SDCM step.
 * Not measurable: no readings, saturated or under-range ones, dark, no reference.
 * Fooled by: stray light and the zero of the sensor, which weigh more the lower the level; warming up between the
 * windows, which is none of the dimming.
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
    const { window, reference } = observation;
    if (!reference) return notMeasurable('no-reference');
    const here = meanColour(observation, window);
    const there = meanColour(observation, reference);
    if (!isMeasurable(here)) return isMeasurable(there) ? unlit(here, window, observation) : here;
    if (!isMeasurable(there)) return noReference(there, reference, observation);
    const shown = evidence
      ? {
          charts: [pathChart(here.readings, [there.uv])],
          notes: { ...notesOf(here, ''), ...notesOf(there, 'reference-') },
        }
      : noEvidence;
    const contributions = [here, there].flatMap((colour) =>
      sensorContributions(colour, standardUv(colour.xy, colour.standardXy)),
    );
    const value = deltaUv(here.uv, there.uv);
    return { ...measured(value, shown, contributions), way: wayTo(here, there.uv, [there]) };
  },
};

/** Light that was commanded there and did not come is the lamp's doing, or nobody's where the sensor cannot tell. */
function noReference(
  refused: NotMeasurable,
  reference: Window,
  observation: Observation,
): NotMeasurable {
  if (refused.reason === 'dark') return darkReference(observation, reference);
  const isLit = commandedMean(observation, reference) > 0;
  return refused.reason === 'below-noise' && isLit
    ? unlit(refused, reference, observation)
    : { ...refused, reason: 'no-reference' };
}

/**
 * One of the two windows gave no colour. A sensor that sees too little there does not tell a dark lamp from one too dim for it; but it
 * saw the other window, and where no less light was commanded in the dark one, the lamp did not give it.
 */
function unlit(refused: NotMeasurable, dark: Window, observation: Observation): NotMeasurable {
  const { window, reference = window } = observation;
  const asked = commandedMean(observation, dark);
  const seen = commandedMean(observation, dark === window ? reference : window);
  if (refused.reason !== 'below-noise' || asked <= 0 || asked < seen) return refused;
  return notMeasurable('dark', {
    note: 'the sensor saw the other window, where no more light was commanded',
  });
}

function notesOf({ uv, Y }: MeanColour, prefix: string) {
  return { [`${prefix}u'`]: uv.u, [`${prefix}v'`]: uv.v, [`${prefix}Y`]: Y };
}
