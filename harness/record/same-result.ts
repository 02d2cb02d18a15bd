import type { ConditionRecord, Finding } from './run-record.ts';

/** Findings of a condition that another record of it does not have alike, by metric, subject and window. */
export interface OtherFinding {
  readonly before: Finding | undefined;
  readonly now: Finding | undefined;
}

/** Where two records of the same condition differ in what was found: nowhere, of the same inputs on the simulated lamp. */
export function otherFindings(before: ConditionRecord, now: ConditionRecord): OtherFinding[] {
  const all = Math.max(before.findings.length, now.findings.length);
  return Array.from({ length: all }, (_, k) => ({
    before: before.findings[k],
    now: now.findings[k],
  })).filter(({ before: one, now: other }) => wordOf(one) !== wordOf(other));
}

function wordOf(finding: Finding | undefined): string {
  if (!finding) return '';
  const { metric, of, during, outcome, uncertainty, verdict, reason } = finding;
  const expanded = uncertainty?.expanded ?? null;
  return JSON.stringify([metric, of, during, outcome, expanded, verdict, reason]);
}
