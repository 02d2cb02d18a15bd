import { colourBlindTo, colourNeed } from '../../features/colour/colour-need.ts';
import { meanCct } from '../../features/colour/mean-cct.ts';
import type { Metric } from '../../metric.ts';
import { isRecord } from '../../observe.ts';
import { measured } from '../../outcome.ts';

/**
 * Distance of the mean colour in the window from the Planckian locus (CIE 1960), above it positive.
 * Inputs: colour readings (XYZ). Output: Duv, a number.
 * Not measurable: as for cct.
 * Source: Ohno 2014 (LEUKOS 10(1)); ANSI C78.377.
 */
export const duv: Metric = {
  id: 'duv',
  title: 'Distance from the Planckian locus, Duv',
  family: 'colour',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: colourNeed,
  parameters: [],
  source: 'ohno-2014',
  blindTo: colourBlindTo,
  compute(observation) {
    const found = meanCct(observation);
    if (!isRecord(found)) return found;
    const { xy } = found.colour;
    return measured(found.duv, { charts: [], notes: { cct: found.cct, x: xy.x, y: xy.y } }, [
      { name: 'colour sensor', standard: found.standardDuv },
    ]);
  },
};
