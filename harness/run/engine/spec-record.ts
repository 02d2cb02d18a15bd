import type { Lamp } from '../../bench/lamp.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { ConditionRecord, SpecRecord } from '../../record/run-record.ts';
import { rollUp, type Verdict } from '../../verdict/verdict.ts';

/**
 * A claim's record from those of its conditions; a lamp that has no part for the claim, or a rig that cannot prove it
 * (`unprovable`), leaves it `not run`.
 */
export function specRecord(
  plan: Plan,
  conditions: readonly ConditionRecord[],
  lamp: Lamp,
  unprovable?: string,
): SpecRecord {
  const unmet = unmetNeed(plan.needs, lamp) ?? unprovable ?? null;
  const verdict = unmet ? 'not run' : rollUp(conditions.map((condition) => condition.verdict));
  const { spec, claim, file, folder, digest } = plan;
  const reason =
    unmet ?? conditions.find((condition) => condition.verdict === verdict)?.reason ?? null;
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

/** A claim that the lamp has no part for says nothing about the run; unless that is true of all of them. */
export function verdictOfRun(
  specs: readonly SpecRecord[],
  plans: readonly Plan[],
  lamp: Lamp,
): Verdict {
  const meant = new Set(
    plans.filter(({ needs }) => unmetNeed(needs, lamp) === null).map(({ spec }) => spec),
  );
  return rollUp(specs.filter(({ spec }) => meant.has(spec)).map(({ verdict }) => verdict));
}
