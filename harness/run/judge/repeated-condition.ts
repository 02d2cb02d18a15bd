import { timesMeasured, withMeasurements } from '../../record/measurements.ts';
import type { ConditionRecord, RunRecord } from '../../record/run-record.ts';
import type { Looks } from '../../verdict/looks.ts';
import { rollUp } from '../../verdict/verdict.ts';
import { atCoverage, mayBeDecided, repeatedFindings } from './repeated-findings.ts';
import { worstReason } from './worst-reason.ts';

/** How conditions of a run are judged that may be measured again; null where they are measured once. */
export function looksOf({ rule, coverageFactor, again }: RunRecord['decision']): Looks | null {
  return again === undefined ? null : { rule, coverageFactor, again };
}

/** One measurement or several as one condition. */
export function repeatedCondition(
  measurements: readonly ConditionRecord[],
  looks: Looks,
): ConditionRecord {
  const findings = repeatedFindings(
    measurements.map((one) => one.findings),
    looks,
  );
  const [only] = measurements;
  const isAsItWas = findings.every((finding, k) => finding === only?.findings[k]);
  if (only && measurements.length === 1 && isAsItWas) return only;
  const { verdict, reason } = endingOf(findings);
  return withMeasurements(measurements, { findings, verdict, reason });
}

/** One measurement as it is judged where a condition is measured once. */
export function judgedOnce(
  measurement: ConditionRecord,
  { coverageFactor }: RunRecord['decision'],
): ConditionRecord {
  const findings = measurement.findings.map((finding) => atCoverage(finding, coverageFactor));
  return { ...measurement, findings, ...endingOf(findings) };
}

function endingOf(
  findings: ConditionRecord['findings'],
): Pick<ConditionRecord, 'verdict' | 'reason'> {
  const verdict = rollUp(findings.map((finding) => finding.verdict));
  return { verdict, reason: worstReason(findings, verdict) };
}

/** Whether the condition stands open, and another measurement may decide it: all of what is inconclusive in it. */
export function wantsAnother(condition: ConditionRecord, looks: Looks): boolean {
  if (condition.verdict !== 'inconclusive' || timesMeasured(condition) > looks.again) return false;
  const open = condition.findings.filter(({ verdict }) => verdict === 'inconclusive');
  return open.length > 0 && open.every((finding) => mayBeDecided(finding, looks));
}
