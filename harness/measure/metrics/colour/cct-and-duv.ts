import { xyToCctMcCamy1992 } from '../../colorimetry/xy-to-cct-mccamy-1992.ts';
import { meanCct } from '../../features/colour/mean-cct.ts';
import { colourBlindTo, sensorContributions } from '../../features/colour/mean-colour.ts';
import type { Metric } from '../../metric.ts';
import { colourNeed } from '../../needs.ts';
import { isMeasurable, measured } from '../../outcome.ts';

/**
 * Correlated colour temperature of the mean colour in the window.
 * Inputs: colour readings (XYZ). Output: K, 1000..20000.
 * Not measurable: no readings, saturated or under-range ones, dark, farther than 0.05 from the Planckian locus.
 * Fooled by: the spectral mismatch of a tristimulus sensor, above all with narrow LEDs; stray light; a lamp that has
 * not settled. Far from the locus one figure says little: read duv beside it.
 * Source: Ohno 2014 (LEUKOS 10(1)).
 */
export const cct: Metric = {
  id: 'cct',
  title: 'Correlated colour temperature',
  family: 'colour',
  unit: 'K',
  dimension: 'colour-temperature',
  shown: 'K',
  needs: colourNeed,
  parameters: [],
  source: 'ohno-2014',
  blindTo: colourBlindTo,
  averages: true,
  compute(observation) {
    const found = meanCct(observation);
    if (!isMeasurable(found)) return found;
    const { xy } = found.colour;
    const notes = { duv: found.duv, x: xy.x, y: xy.y, 'quick-cct': xyToCctMcCamy1992(xy) };
    const contributions = sensorContributions(found.colour, found.standardCct);
    return measured(found.cct, { charts: [], notes }, contributions);
  },
};

/**
 * Distance of the mean colour in the window from the Planckian locus (CIE 1960), above it positive.
 * Inputs: colour readings (XYZ). Output: Duv, a number.
 * Not measurable: as for cct.
 * Fooled by: as for cct; a small error of the sensor in y is a large one in Duv.
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
  averages: true,
  compute(observation) {
    const found = meanCct(observation);
    if (!isMeasurable(found)) return found;
    const { xy } = found.colour;
    const notes = { cct: found.cct, x: xy.x, y: xy.y };
    const contributions = sensorContributions(found.colour, found.standardDuv);
    return measured(found.duv, { charts: [], notes }, contributions);
  },
};
