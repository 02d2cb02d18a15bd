import { type Tolerance, toleranceSize } from '../../record/margin.ts';

/**
 * Where a value stands in its tolerance: -1 and 1 at both limits and 0 midway between them; with one limit, 0 at zero and 1 (or -1, where
 * the limit is below zero) at the limit. On this scale all series of a claim can share one axis, whatever their limits. Null where the tolerance
 * has no width.
 */
export function usedShare(value: number, tolerance: Tolerance): number | null {
  const size = toleranceSize(tolerance);
  if (size === null) return null;
  const { lower, upper } = tolerance;
  const middle = lower !== null && upper !== null ? (lower + upper) / 2 : 0;
  return (value - middle) / size;
}
