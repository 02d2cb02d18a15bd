import type { RunRecord } from '../record/run-record.ts';
import { knownSignatures } from './causes/known-signatures.ts';
import { type LikelyCause, likelyCauses } from './causes/likely-causes.ts';
import { diagnosedFindings } from './diagnosed-finding.ts';
import { type Explanation, explain } from './explain.ts';

export interface Diagnosis {
  /** Failing findings. */
  readonly failing: number;
  /** What the figures alone say, without knowledge of any fault; each failing finding stands in one of them. */
  readonly explanations: readonly Explanation[];
  /** Faults of the simulated lamp that fail in the same way, the best first; none where none does. */
  readonly causes: readonly LikelyCause[];
}

/** What the failures of a stored run have in common, and what would explain them; null where nothing failed. */
export function diagnose(record: RunRecord): Diagnosis | null {
  const findings = diagnosedFindings(record);
  const failing = findings.filter(({ failed }) => failed).length;
  if (failing === 0) return null;
  const causes = likelyCauses(record, knownSignatures());
  return { failing, explanations: explain(findings), causes };
}
