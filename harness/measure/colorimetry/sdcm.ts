import { deltaUv, type Uv1976 } from './chromaticity.ts';

/**
 * Radius of one step in u'v': an n-step circle has the radius n * 0.0011.
 * Source: CIE TN 001:2014 3.2 (document confirmed, the figure from memory).
 */
export const stepRadius = 0.0011;

/** Steps (SDCM) between two chromaticities. */
export function stepsBetween(one: Uv1976, two: Uv1976): number {
  return deltaUv(one, two) / stepRadius;
}
