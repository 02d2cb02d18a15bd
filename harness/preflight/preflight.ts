import type { Lamp } from '../bench/lamp.ts';
import type { Rig, Wire } from '../bench/rig.ts';
import { planCaptures } from '../plan/captures/plan-captures.ts';
import type { Plan } from '../plan/plan.ts';
import { unmetNeed } from '../plan/unmet-need.ts';
import { checkCalibration } from './calibration.ts';
import { type Doubt, distinct } from './doubt.ts';
import { checkFullLight, checkModelled } from './modelled.ts';
import { plannedJudgements } from './planned-judgement.ts';
import { checkReach } from './reach.ts';
import { checkResolution } from './resolution.ts';
import { checkSampling } from './sampling.ts';
import { checkSimulated } from './simulated.ts';
import { checkTogether } from './together.ts';
import { checkUncertainty } from './uncertainty.ts';

/**
 * What a rig cannot prove of a claim, or not well, each with the figure that would be enough. Nothing is powered:
 * this looks at files only. `today` is the bench's local date, YYYY-MM-DD. A claim that is not run has no doubts.
 */
export function preflight(plan: Plan, rig: Rig, lamp: Lamp, today: string): readonly Doubt[] {
  if (unmetNeed(plan.needs, lamp) !== null) return [];
  const wires = new Set<Wire>();
  const doubts = plan.conditions.flatMap((condition) => {
    const captures = planCaptures(condition, { lamp, rig });
    for (const { wire } of captures.captures) wires.add(wire);
    return [
      ...checkReach(condition, captures, { rig, lamp }),
      ...checkTogether(captures, rig),
      ...checkModelled(condition, rig),
      ...plannedJudgements(condition, captures, rig, lamp).flatMap((planned) => [
        ...checkSampling(planned),
        ...checkFullLight(planned),
        ...checkResolution(planned),
        ...checkUncertainty(planned, rig),
      ]),
    ];
  });
  return distinct([
    ...checkSimulated(plan, rig),
    ...doubts,
    ...checkCalibration(wires, rig, today),
  ]);
}
