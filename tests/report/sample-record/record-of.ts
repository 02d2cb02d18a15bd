import type { RunRecord, SpecRecord } from '../../../harness/record/run-record.ts';
import { type Verdict, verdictOfRun } from '../../../harness/verdict/verdict.ts';
import { sampleDeviations } from './sample-deviations.ts';
import { sampleLamp } from './sample-lamp.ts';
import { sampleRig } from './sample-rig.ts';

/** A complete run of these claims on the sample lamp and rig; verdict and totals follow from the claims. */
export function recordOf(specs: SpecRecord[]): RunRecord {
  const findings = specs.flatMap((spec) => spec.conditions.flatMap((c) => c.findings));
  return {
    format: 'evenfall-run',
    version: 2,
    id: '20261124T180312Z-alcove-6-2.4.0-rc3-7qk2',
    ended: 'complete',
    startedAt: '2026-11-24T18:03:12.250Z',
    endedAt: '2026-11-24T18:03:31.900Z',
    harness: { version: '0.1.0', node: '20.20.2', commit: '4f0c1d2e9a7b' },
    lamp: sampleLamp(),
    rig: sampleRig(),
    seed: 41,
    faults: [],
    decision: { rule: 'guarded', coverageFactor: 2 },
    selection: { tags: ['nightly'], paths: ['specs'] },
    verdict: verdictOfRun(specs),
    totals: {
      claims: tally(specs.map((spec) => spec.verdict)),
      findings: tally(findings.map((finding) => finding.verdict)),
      lampTime: 1482.5,
      wallTime: 19.65,
    },
    safeState: {
      confirmed: true,
      at: '2026-11-24T18:03:31.700Z',
      detail: 'lamp off and supply off, both read back',
    },
    deviations: sampleDeviations(),
    follows: [],
    specs,
  };
}

function tally(verdicts: readonly Verdict[]): Record<string, number> {
  const counts: Record<string, number> = {};
  for (const verdict of verdicts) counts[verdict] = (counts[verdict] ?? 0) + 1;
  return counts;
}
