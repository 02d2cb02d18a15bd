import type { ConditionRecord, Finding, RunRecord } from '../record/run-record.ts';
import { type Facets, facetsOf } from './facets.ts';

/** A finding that passed or failed, with all that it can be told apart by. */
export interface Diagnosed {
  readonly spec: string;
  readonly condition: ConditionRecord;
  readonly finding: Finding;
  readonly failed: boolean;
  readonly facets: Facets;
}

/** Findings that decide: neither the bench's errors nor what stayed open says anything of a lamp's cause. */
export function diagnosedFindings({ specs, lamp }: RunRecord): readonly Diagnosed[] {
  const channels = new Set(lamp.channels.map(({ channel }) => channel));
  return specs.flatMap(({ spec, conditions }) =>
    conditions.flatMap((condition) =>
      condition.findings.flatMap((finding) => {
        const { verdict } = finding;
        if (verdict !== 'pass' && verdict !== 'fail') return [];
        const facets = facetsOf(condition, finding, channels);
        return [{ spec, condition, finding, failed: verdict === 'fail', facets }];
      }),
    ),
  );
}
