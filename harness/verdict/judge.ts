import type { Limits } from './limits.ts';
import type { Ending } from './verdict.ts';

/** `simple`: the guard band w is 0. `guarded`: w = U, the expanded uncertainty. */
export type DecisionRuleName = 'simple' | 'guarded';

export interface Judgement {
  readonly verdict: Extract<Ending, 'pass' | 'fail' | 'inconclusive'>;
  /** Why, in words without figures: the caller knows the unit and shows value, uncertainty and tolerance beside it. */
  readonly reason: string;
}

/**
 * Holds a value against its tolerance.
 *
 * Inputs: value, expanded uncertainty U and limits in one unit; U >= 0. A limit itself belongs to the tolerance.
 * Output: `pass` when the value lies inside the limits by at least the guard band w; `fail` when it lies outside by more
 * than w; `inconclusive` between. A two-sided tolerance that is no wider than 2 w has no acceptance zone: nothing can
 * pass it, and only what is outside by more than w fails.
 * A record whose floor, the least that it would have shown, lies above the upper limit proves nothing below that limit:
 * `inconclusive` by either rule, where it is not `fail`.
 * A value or an uncertainty that is not a finite number is never judged: `inconclusive`.
 * Source: ILAC-G8:09/2019 clauses 4.1, 4.2.1 and 4.2.3 (guard band, acceptance limit, non-binary statement; confirmed
 * in the text of the first two, a stored statement of the third); JCGM 106:2012 (from memory).
 */
export function judge(
  value: number,
  expanded: number,
  limits: Limits,
  rule: DecisionRuleName,
  floor = Number.NEGATIVE_INFINITY,
): Judgement {
  const { lower, upper } = limits;
  if (lower === null && upper === null) return undecided('the tolerance names no limit');
  if (!Number.isFinite(value) || !Number.isFinite(expanded) || expanded < 0)
    return undecided('there is no finite value and uncertainty to hold against the limit');

  const guard = rule === 'guarded' ? expanded : 0;
  // How far the value is inside each limit; a missing limit is infinitely far.
  const belowUpper = upper === null ? Number.POSITIVE_INFINITY : upper - value;
  const aboveLower = lower === null ? Number.POSITIVE_INFINITY : value - lower;
  // Rounding in "limit minus guard" must not decide.
  const slack = 1e-12 * Math.max(Math.abs(upper ?? 0), Math.abs(lower ?? 0), guard);

  if (belowUpper < -guard - slack) return failed('above the upper limit', guard);
  if (aboveLower < -guard - slack) return failed('below the lower limit', guard);
  if (upper !== null && floor > upper + slack)
    return undecided('the record could not have shown a value at the limit');
  if (guard > 0 && belowUpper + aboveLower <= 2 * guard + slack)
    return undecided(
      'cannot decide: the uncertainty leaves no acceptance zone in the tolerance; measure more precisely or widen it',
    );
  if (belowUpper < guard - slack) return undecided('the uncertainty straddles the upper limit');
  if (aboveLower < guard - slack) return undecided('the uncertainty straddles the lower limit');
  return {
    verdict: 'pass',
    reason: guard > 0 ? 'inside the limits by more than the uncertainty' : 'inside the limits',
  };
}

function failed(where: string, guard: number): Judgement {
  return {
    verdict: 'fail',
    reason: guard > 0 ? `${where} by more than the uncertainty` : where,
  };
}

function undecided(reason: string): Judgement {
  return { verdict: 'inconclusive', reason };
}
