import { severity, type Verdict } from '../verdict/verdict.ts';
import { lampTimeOf } from './measurements.ts';
import type { RunRecord, SpecRecord } from './run-record.ts';

/** How many of each verdict; every verdict is present, so that a table has no holes. */
function countVerdicts(parts: Iterable<Verdict>): Record<Verdict, number> {
  const counts = Object.fromEntries(severity.map((verdict) => [verdict, 0]));
  for (const part of parts) counts[part] = (counts[part] ?? 0) + 1;
  return counts as Record<Verdict, number>;
}

/** The totals of a run. `wallTime` in s; lamp time is the sum over the conditions and their measurements, s. */
export function totalsOf(specs: readonly SpecRecord[], wallTime: number): RunRecord['totals'] {
  const conditions = specs.flatMap((spec) => spec.conditions);
  return {
    claims: countVerdicts(specs.map((spec) => spec.verdict)),
    findings: countVerdicts(
      conditions.flatMap((condition) => condition.findings.map((finding) => finding.verdict)),
    ),
    lampTime: conditions.reduce((sum, condition) => sum + lampTimeOf(condition), 0),
    wallTime,
  };
}
