import { type CctDuv, xyToCctOhno2013 } from '../../colorimetry/cct-ohno-2013.ts';
import { type Xy, xyToUv1960 } from '../../colorimetry/chromaticity.ts';
import { uvToDuvPolynomial } from '../../colorimetry/uv-to-duv-polynomial.ts';
import type { Observation, Window } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { type MeanColour, meanColour } from './mean-colour.ts';

/** CCT and Duv of a window's mean colour, with standard uncertainties. */
export interface MeanCct extends CctDuv {
  readonly colour: MeanColour;
  readonly standardCct: number;
  readonly standardDuv: number;
}

export function meanCct(
  observation: Observation,
  window: Window = observation.window,
): MeanCct | NotMeasurable {
  const colour = meanColour(observation, window);
  if (!isMeasurable(colour)) return colour;
  const found = xyToCctOhno2013(colour.xy);
  if (!found) {
    const duv = uvToDuvPolynomial(xyToUv1960(colour.xy));
    return notMeasurable('off-locus', { found: Math.abs(duv), needed: 0.05, unit: '1' });
  }
  const change = sensitivity(colour.xy, found, colour.standardXy);
  return { ...found, colour, ...change };
}

/** Finite differences over x and y, combined (JCGM 100 5.1.3). */
function sensitivity({ x, y }: Xy, { cct, duv }: CctDuv, standardXy: number) {
  const step = 1e-5;
  const sides = [xyToCctOhno2013({ x: x + step, y }), xyToCctOhno2013({ x, y: y + step })];
  const slopes = (part: (side: CctDuv) => number) =>
    Math.hypot(...sides.map((side) => (side ? part(side) / step : 0)));
  return {
    standardCct: standardXy * slopes((side) => side.cct - cct),
    standardDuv: standardXy * slopes((side) => side.duv - duv),
  };
}
