import type { Limits } from './limits.ts';
import type { IsSettled } from './uncertainty.ts';

/** So many expanded uncertainties from the nearest limit, no better knowledge of the noise turns a verdict over. */
const distance = 10;

/** Tells whether a value is so far from its limits that its verdict stands, on either side of them. */
export function settledBy({ lower, upper }: Limits): IsSettled {
  return (value, expanded) =>
    [lower, upper].every(
      (limit) => limit === null || Math.abs(value - limit) > distance * expanded,
    );
}
