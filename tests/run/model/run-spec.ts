import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import type { Condition } from '../../../harness/plan/plan.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import type { ConditionResult } from '../../../harness/run/engine/lane.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { lamp, rig } from '../../firmware/judge.ts';

export interface Fault {
  readonly fault: string;
  readonly size: number;
}

/** Steps of a stimulus as a claim that the lamp does as its model says. */
export function specOf(steps: string): Condition {
  const text = `spec: as-modelled
claim: The lamp does as its model says.
stimulus:
  - hold: 100 ms${steps}
capture:
  - { signal: channel-current, of: warm, rate: 10 kHz }
  - { signal: channel-current, of: indigo, rate: 10 kHz }
criteria:
  - { metric: time-outside-model, of: warm, at-most: 2 ms }
  - { metric: time-outside-model, of: indigo, at-most: 2 ms }
  - { metric: wrong-answers, at-most: 0 }
`;
  const read = readSpec(text, { file: 'as-modelled.spec.yaml', folder: '', digest: '', lamp });
  if (!('plan' in read)) throw new Error(JSON.stringify(read.issues));
  const [condition] = read.plan.conditions;
  if (!condition) throw new Error('no condition');
  return condition;
}

/** Carries a condition out on a fresh simulated Alcove-6. */
export async function ran(
  condition: Condition,
  faults: readonly Fault[] = [],
): Promise<ConditionResult> {
  const seeds = { seed: 7, lampSeed: 1 };
  const task = { spec: 'as-modelled', condition, position: 1, repeat: 0, lamp, rig, faults };
  const open = () => openPlantBench({ lamp, rig, faults, ...seeds });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  return runCondition({ ...task, ...seeds }, open, new AbortController().signal, clock);
}
