import { xyToCctMcCamy1992 } from '../../colorimetry/xy-to-cct-mccamy-1992.ts';
import { colourBlindTo, colourNeed } from '../../features/colour/colour-need.ts';
import { meanCct } from '../../features/colour/mean-cct.ts';
import type { Metric } from '../../metric.ts';
import { isRecord } from '../../observe.ts';
import { measured } from '../../outcome.ts';

/**
 * Correlated colour temperature of the mean colour in the window.
 * Inputs: colour readings (XYZ). Output: K, 1000..20000.
 * Not measurable: no readings, saturated or under-range ones, dark, farther than 0.05 from the Planckian locus.
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
  compute(observation) {
    const found = meanCct(observation);
    if (!isRecord(found)) return found;
    const { xy } = found.colour;
    const notes = { duv: found.duv, x: xy.x, y: xy.y, 'quick-cct': xyToCctMcCamy1992(xy) };
    return measured(found.cct, { charts: [], notes }, [
      { name: 'colour sensor', standard: found.standardCct },
    ]);
  },
};
