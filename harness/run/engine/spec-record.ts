import type { Lamp } from '../../bench/lamp.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { ConditionRecord, SpecRecord } from '../../record/run-record.ts';
import { rollUp } from '../../verdict/verdict.ts';

/**
 * A claim's record from those of its conditions; to a lamp that has no part for the claim it is `not applicable`, and a rig
 * that cannot prove it (`unprovable`) leaves it `not run`.
 */
export function specRecord(
  plan: Plan,
  conditions: readonly ConditionRecord[],
  lamp: Lamp,
  unprovable?: string,
): SpecRecord {
  const unmet = unmetNeed(plan.needs, lamp);
  const verdict =
    unmet !== null
      ? 'not applicable'
      : unprovable !== undefined
        ? 'not run'
        : rollUp(conditions.map((condition) => condition.verdict));
  const { spec, claim, file, folder, digest } = plan;
  const reason =
    unmet ??
    unprovable ??
    conditions.find((condition) => condition.verdict === verdict)?.reason ??
    null;
  return {
    spec,
    claim,
    file,
    folder,
    digest,
    traces: [...plan.traces],
    tags: [...plan.tags],
    verdict,
    reason: verdict === 'pass' ? null : reason,
    conditions: [...conditions],
  };
}
