import { marginOf } from './margin.ts';
import type { CaptureRecord, ConditionRecord, Finding, RunRecord } from './run-record.ts';

/** Which captures a run keeps once they are judged. */
export const captureChoices = ['all', 'failures', 'none'] as const;
export type CapturesKept = (typeof captureChoices)[number];

/** A condition that leaves less of a tolerance than this is a near miss: who looks into failures wants to see it, too. */
const nearMiss = 0.1;

/**
 * Whether the captures of a condition that has ended are kept: with `failures`, unless it passed with at least a tenth of each
 * tolerance left. It is told as soon as the condition ends, so that nothing that was stored is ever removed.
 */
export function keepsCaptures(
  {
    verdict,
    findings,
    measurements,
  }: Pick<ConditionRecord, 'verdict' | 'findings' | 'measurements'>,
  kept: CapturesKept,
): boolean {
  if (kept !== 'failures') return kept === 'all';
  // What was measured again stood open before, and its first captures are in the folder.
  if (measurements) return true;
  return verdict !== 'pass' || findings.some(isNear);
}

/** The condition as it is recorded where its captures are left away. */
export function withoutCaptures(condition: ConditionRecord): ConditionRecord {
  const captures = condition.captures.map((capture) => ({ ...capture, stored: false as const }));
  return { ...condition, captures };
}

/** An answer or a count that is right stands on its limit, and is no near miss. */
function isNear({ outcome, limits: { lower, upper } }: Finding): boolean {
  if (!outcome.measured || upper === lower || outcome.value === lower || outcome.value === upper)
    return false;
  return marginOf({ value: outcome.value, lower, upper }) < nearMiss;
}

export function isStored({ stored }: Pick<CaptureRecord, 'stored'>): boolean {
  return stored !== false;
}

/** `12 of 30 captures`, which were left away; null where all were stored. */
export function leftAwayText({ specs }: Pick<RunRecord, 'specs'>): string | null {
  const captures = specs.flatMap(({ conditions }) => conditions.flatMap((one) => one.captures));
  const left = captures.filter((capture) => !isStored(capture)).length;
  return left === 0 ? null : `${left} of ${captures.length} captures`;
}
