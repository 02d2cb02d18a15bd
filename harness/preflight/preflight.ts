import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import type { Plan } from '../plan/plan.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { checkCalibration } from './calibration.ts';
import { type Doubt, distinct } from './doubt.ts';
import { findWire, plannedJudgements } from './planned-judgement.ts';
import { checkReach } from './reach.ts';
import { checkResolution } from './resolution.ts';
import { checkSampling } from './sampling.ts';
import { checkTogether } from './together.ts';
import { checkUncertainty } from './uncertainty.ts';

/**
 * What a rig cannot prove of a claim, or not well, each with the figure that would be enough. Nothing is powered:
 * this looks at files only. `today` is the bench's local date, YYYY-MM-DD. A claim that is not run has no doubts.
 */
export function preflight(plan: Plan, rig: Rig, lamp: Lamp, today: string): readonly Doubt[] {
  if (unmetNeed(plan.needs, lamp) !== null) return [];
  const conditions = plan.conditions.flatMap((condition) => [
    ...checkReach(condition, rig),
    ...checkTogether(condition, rig, lamp),
    ...plannedJudgements(condition, rig, lamp).flatMap((planned) => [
      ...checkSampling(planned),
      ...checkResolution(planned),
      ...checkUncertainty(planned, rig),
    ]),
  ]);
  return distinct([...conditions, ...checkCalibration(instrumentsOf(plan, rig), rig, today)]);
}

/** Instruments that the claim's records come from. */
function instrumentsOf(plan: Plan, rig: Rig): ReadonlySet<string> {
  const signals = plan.conditions.flatMap(({ captures }) => captures.map(({ signal }) => signal));
  return new Set(signals.flatMap((signal) => findWire(rig, signal)?.instrument ?? []));
}
