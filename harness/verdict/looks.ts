import { normalBeyond, normalTail } from '../measure/signal/normal-tail.ts';
import type { DecisionRuleName } from './judge.ts';

/** How conditions are judged that may be measured again while they are inconclusive. */
export interface Looks {
  readonly rule: DecisionRuleName;
  /** That of a single measurement. */
  readonly coverageFactor: number;
  /** How often a condition may be measured again, 1 or more. */
  readonly again: number;
}

/** Up to here wrong passes were found to be no more frequent than with one measurement (`docs/repeating.md`). */
export const mostAgain = 5;

/** Factors for which a normal tail is known well enough. */
const least = 0.5;

/**
 * Coverage factor of what several measurements say together: whoever looks again and again, and stops when the outcome is
 * clear, decides wrongly more often than who looks once. The risk of one look, what lies beyond the coverage factor on one side of
 * a normal distribution, is shared out evenly among 2 n + 1 tests: what was combined after each of n + 1 measurements, and each later
 * measurement by itself, whose fail is final.
 * Source: Bonferroni's inequality, which holds however the looks depend on each other; JCGM 106:2012 for the risks (from memory).
 */
export function coverageOfLooks(looks: Pick<Looks, 'coverageFactor' | 'again'>): number {
  const { coverageFactor, again } = looks;
  if (coverageFactor < least) return coverageFactor;
  const key = `${coverageFactor} ${again}`;
  const known = factors.get(key);
  if (known !== undefined) return known;
  const factor = normalBeyond(normalTail(coverageFactor) / (2 * again + 1));
  factors.set(key, factor);
  return factor;
}

/** Each is asked for with every finding. */
const factors = new Map<string, number>();

/**
 * Coverage factor of one of the measurements by itself. How far it scatters is told from few observations, and far out in the
 * tails Student's distribution is wider than what the metrics allow for at the usual coverage.
 */
export function coverageOfSingle(looks: Pick<Looks, 'coverageFactor' | 'again'>): number {
  const { coverageFactor } = looks;
  if (coverageFactor < least) return coverageFactor;
  return (studentOf(coverageOfLooks(looks)) / studentOf(coverageFactor)) * coverageFactor;
}

/** The fewest that a metric tells its scatter from which can be averaged: eight pieces of a window. */
const freedom = 7;

/**
 * Quantile of Student's distribution with 7 degrees of freedom at the probability of a quantile of the normal one; within 1 % up to 3.5.
 * Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.5 (from memory).
 */
function studentOf(z: number): number {
  return (
    z +
    (z ** 3 + z) / (4 * freedom) +
    (5 * z ** 5 + 16 * z ** 3 + 3 * z) / (96 * freedom ** 2) +
    (3 * z ** 7 + 19 * z ** 5 + 17 * z ** 3 - 15 * z) / (384 * freedom ** 3)
  );
}
