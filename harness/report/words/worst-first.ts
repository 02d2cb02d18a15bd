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
  return placed.sort(
    (a, b) =>
      rank(a.finding.verdict) - rank(b.finding.verdict) || margin(a.finding) - margin(b.finding),
  );
}

/** Claims, the worst first; claims of one verdict stay in the run's order. */
export function claimsWorstFirst(record: RunRecord): readonly SpecRecord[] {
  return [...record.specs].sort((a, b) => rank(a.verdict) - rank(b.verdict));
}

export function rank(verdict: Verdict): number {
  return severity.indexOf(verdict);
}

/**
 * How much of the tolerance is left, 1 in the middle (or at zero, for a one-sided limit), 0 on the limit, negative
 * beyond it. Findings without a value or a limit have nothing to lose: +infinity.
 */
export function margin({ outcome, limits }: Finding): number {
  if (!outcome.measured) return Number.POSITIVE_INFINITY;
  const { lower, upper } = limits;
  const { value } = outcome;
  if (lower !== null && upper !== null) {
    const half = (upper - lower) / 2;
    return half > 0
      ? Math.min(value - lower, upper - value) / half
      : -Math.abs(value - upper) / (Math.abs(upper) || 1);
  }
  if (upper !== null) return (upper - value) / (Math.abs(upper) || 1);
  if (lower !== null) return (value - lower) / (Math.abs(lower) || 1);
  return Number.POSITIVE_INFINITY;
}

/** Where a finding was made, in words: `indigo, fade-time=8 s, after the fade, repeat 2`. */
export function placeText({ condition, finding }: Placed): string {
  const place = [finding.of];
  if (condition.key) place.push(condition.key);
  if (finding.during) place.push(`during ${finding.during}`);
  if (condition.repeat > 0) place.push(`repeat ${condition.repeat + 1}`);
  return place.join(', ');
}

/** Why a claim without findings to show ended as it did. */
export function claimReason(spec: SpecRecord): string | null {
  if (spec.reason) return spec.reason;
  const worst = [...spec.conditions].sort((a, b) => rank(a.verdict) - rank(b.verdict))[0];
  return worst?.reason ?? null;
}

/**
 * What a finding's reason adds to its figures. Many reasons begin with the figures themselves, for those who see the
 * sentence alone; beside the figures only the rest is news. Null when there is none.
 */
export function whyText({ title, limits, reason }: Finding): string | null {
  if (!reason?.startsWith(title)) return reason;
  const end = reason.indexOf(limits.text);
  const rest = end < 0 ? reason : reason.slice(end + limits.text.length).replace(/^[:;,.\s]+/, '');
  return rest || null;
}
