import {
  duvTolerance,
  nominalCctOf,
  nominalCcts,
  nominalOffset,
} from '../../colorimetry/nominal-cct.ts';
import { meanCct } from '../../features/colour/mean-cct.ts';
import { colourBlindTo, sensorContributions } from '../../features/colour/mean-colour.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import { isMeasurable, measured, notMeasurable } from '../../outcome.ts';

/**
 * Place of the mean colour in the quadrangle of a nominal CCT: 0 in its middle, 1 on its edge, above 1 outside.
 * Inputs: colour readings (XYZ); parameter `nominal` in K. Output: a number.
 * Not measurable: as for cct; a nominal CCT that the standard does not have.
 * Fooled by: as for cct; a lamp measured warmer or cooler than it is rated for.
 * Source: ANSI C78.377 (2015/2017; Duv half-width from memory).
 */
export const nominalCctBin: Metric = {
  id: 'nominal-cct-bin',
  title: 'Place within the nominal CCT',
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: [
    {
      name: 'nominal',
      kind: 'colour-temperature',
      default: null,
      about: 'nominal CCT, e.g. 3000 K',
    },
  ],
  source: 'ansi-c78.377',
  blindTo: colourBlindTo,
  compute(observation) {
    const found = meanCct(observation);
    if (!isMeasurable(found)) return found;
    const asked = Number(observation.parameters['nominal']);
    const nominal = nominalCcts.find((candidate) => candidate.nominal === asked);
    if (!nominal) {
      const list = nominalCcts.map((candidate) => candidate.nominal).join(', ');
      return notMeasurable('out-of-domain', { note: `nominal CCTs are ${list} K` });
    }
    const own = nominalCctOf(found)?.nominal ?? 'none';
    const notes = { cct: found.cct, duv: found.duv, 'nominal-cct-found': own };
    const standard = Math.max(
      found.standardCct / nominal.tolerance,
      found.standardDuv / duvTolerance,
    );
    const contributions = sensorContributions(found.colour, standard);
    return measured(nominalOffset(found, nominal), { charts: [], notes }, contributions);
  },
};
