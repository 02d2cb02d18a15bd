import type { Uv1976 } from '../../colorimetry/chromaticity.ts';
import { sumOfCovariances } from '../../colorimetry/uv-covariance.ts';
import type { UvWay } from '../../outcome.ts';
import { type MeanColour, meanCovariance } from './mean-colour.ts';

/** The way from a target to a mean colour in u'v'. A target that was measured, too, adds its own uncertainty to the mean's. */
export function wayTo(
  colour: MeanColour,
  { u, v }: Uv1976,
  measured: readonly MeanColour[] = [],
): UvWay {
  const covariance = sumOfCovariances([colour, ...measured].map(meanCovariance));
  return { u: colour.uv.u - u, v: colour.uv.v - v, covariance };
}
