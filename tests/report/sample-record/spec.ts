import type { ConditionRecord, SpecRecord } from '../../../harness/record/run-record.ts';
import { rollUp } from '../../../harness/verdict/verdict.ts';
import { condition } from './condition.ts';
import { digest } from './digest.ts';
import { finding } from './finding.ts';

export function spec(
  folder: string,
  id: string,
  claim: string,
  conditions: ConditionRecord[],
  traces: string[] = [],
): SpecRecord {
  return {
    spec: id,
    claim,
    file: `specs/${folder}/${id}.spec.yaml`,
    folder,
    digest: digest('a'),
    traces,
    tags: ['nightly', ...(folder === 'fading' || folder === 'dimming' ? ['commit'] : [])],
    verdict: rollUp(conditions.map((c) => c.verdict)),
    reason: null,
    conditions,
  };
}

/** A claim that passes on one finding of the light, with an uncertainty of 4 % of its limit. */
export function simple(
  folder: string,
  id: string,
  claim: string,
  metric: string,
  title: string,
  value: number,
  upper: number,
  unit = '1',
  shown = '%',
): SpecRecord {
  return spec(
    folder,
    id,
    claim,
    [
      condition(
        {},
        [
          finding({
            metric,
            title,
            of: 'light',
            unit,
            shown,
            value,
            expanded: upper * 0.04,
            upper,
            text: 'at most the limit of the lamp file',
          }),
        ],
        { signal: 'light', unit: 'lx' },
      ),
    ],
    [`LUM-${200 + id.length}`],
  );
}
