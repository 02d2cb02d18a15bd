import { marginOf } from '../../record/margin.ts';
import type { ConditionRecord, Finding, RunRecord, SpecRecord } from '../../record/run-record.ts';
import { severity, type Verdict } from '../../verdict/verdict.ts';

/** A finding with the condition that it was made in. */
export interface Placed {
  readonly condition: ConditionRecord;
  readonly finding: Finding;
}

/** All findings of a claim, the worst first: by verdict, then by how little margin is left. */
export function findingsWorstFirst(spec: SpecRecord): readonly Placed[] {
  const placed = spec.conditions.flatMap((condition) =>
    condition.findings.map((finding) => ({ condition, finding })),
  );
  return worstFirst(placed);
}

/** Findings by verdict, then by how little margin is left. */
export function worstFirst(placed: readonly Placed[]): readonly Placed[] {
  return placed.toSorted(
    (a, b) =>
      rank(a.finding.verdict) - rank(b.finding.verdict) ||
      compared(margin(a.finding), margin(b.finding)),
  );
}

/** Claims, the worst first: by verdict, then by how far their worst finding lies beyond its limit; else in the run's order. */
export function claimsWorstFirst(record: RunRecord): readonly SpecRecord[] {
  const worst = new Map(record.specs.map((spec) => [spec, worstMargin(spec)]));
  const of = (spec: SpecRecord): number => worst.get(spec) ?? 0;
  return [...record.specs].sort(
    (a, b) => rank(a.verdict) - rank(b.verdict) || compared(of(a), of(b)),
  );
}

/** Of the findings that gave the claim its verdict. */
function worstMargin(spec: SpecRecord): number {
  const deciding = decidingFinding(spec);
  return deciding ? margin(deciding.finding) : Number.POSITIVE_INFINITY;
}

/** Infinity minus itself is no number to sort by. */
function compared(a: number, b: number): number {
  return a === b ? 0 : a - b;
}

/** The finding that gave a claim its verdict; null where a condition without findings did, or nothing was run. */
export function decidingFinding(spec: SpecRecord): Placed | null {
  return findingsWorstFirst(spec).find(({ finding }) => finding.verdict === spec.verdict) ?? null;
}

/** Why a claim without findings to show ended as it did. */
export function claimReason({ reason, conditions }: SpecRecord): string | null {
  if (reason) return reason;
  const [worst] = [...conditions].sort((a, b) => rank(a.verdict) - rank(b.verdict));
  return worst?.reason ?? null;
}

function rank(verdict: Verdict): number {
  return severity.indexOf(verdict);
}

/** How much of its tolerance a finding has left; see `marginOf`. */
export function margin({ outcome, limits }: Finding): number {
  return marginOf({ ...limits, value: outcome.measured ? outcome.value : null });
}
