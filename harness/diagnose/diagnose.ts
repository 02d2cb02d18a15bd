import type { RunRecord } from '../record/run-record.ts';
import { diagnosedFindings } from './diagnosed-finding.ts';
import { type Explanation, explain } from './explain.ts';

export interface Diagnosis {
  /** Failing findings. */
  readonly failing: number;
  /** What the figures alone say, without knowledge of any fault; each failing finding stands in one of them. */
  readonly explanations: readonly Explanation[];
}

/** What the failures of a stored run have in common; null where nothing failed. */
export function diagnose(record: RunRecord): Diagnosis | null {
  const findings = diagnosedFindings(record);
  const failing = findings.filter(({ failed }) => failed).length;
  return failing === 0 ? null : { failing, explanations: explain(findings) };
}
