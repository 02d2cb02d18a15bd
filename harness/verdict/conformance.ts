import type { Limits } from './limits.ts';
import { normalCdf } from './normal.ts';

/**
 * Probability that the true value lies within the limits, for a normal error and no prior knowledge.
 *
 * Inputs: the measured value and its standard uncertainty (k = 1), both in the metric's unit.
 * Output: p_c = Φ((TU - y)/u) - Φ((TL - y)/u), 0..1. With u = 0 it is 1 or 0.
 * Source: JCGM 106:2012 clause 7 (from memory).
 */
export function conformanceProbability(
  value: number,
  standard: number,
  { lower, upper }: Pick<Limits, 'lower' | 'upper'>,
): number {
  if (standard === 0) {
    return (lower === null || value >= lower) && (upper === null || value <= upper) ? 1 : 0;
  }
  const below = upper === null ? 1 : normalCdf((upper - value) / standard);
  const under = lower === null ? 0 : normalCdf((lower - value) / standard);
  return below - under;
}

/**
 * Measurement capability index C_m = (TU - TL)/(4 u) of a two-sided tolerance.
 *
 * Output: a plain number; `null` for a one-sided tolerance, which has no width.
 * Source: JCGM 106:2012 clause 7 (from memory).
 */
export function capabilityIndex(
  standard: number,
  { lower, upper }: Pick<Limits, 'lower' | 'upper'>,
): number | null {
  return lower === null || upper === null ? null : (upper - lower) / (4 * standard);
}

/**
 * Worst-case probability of accepting a lamp that is just outside a limit, with a guard band.
 *
 * Input: the guard band in units of the expanded uncertainty (k = 2), w/U. Output: Φ(-2 w/U).
 * Source: the arithmetic behind the table of ILAC-G8:09/2019 (computed).
 */
export function worstFalseAcceptance(guardBandOverU: number): number {
  return normalCdf(-2 * guardBandOverU);
}
