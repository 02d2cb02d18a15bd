import type { Rig } from '../bench/rig.ts';
import type { Condition } from '../plan/plan.ts';
import { rigLacks } from '../plan/rig-lacks.ts';
import type { Doubt } from './doubt.ts';
import { findWire } from './planned-judgement.ts';

/** Whether the rig has the inputs, links and supply that a condition asks for. */
export function checkReach(condition: Condition, rig: Rig): Doubt[] {
  return [
    ...condition.captures.flatMap(({ signal }) =>
      findWire(rig, signal)
        ? []
        : [
            refuse(
              `needs a record of ${signal}, but rig ${rig.rig} has no input for it; add a line to its wiring`,
            ),
          ],
    ),
    ...rigLacks(condition.stimulus, rig).map(refuse),
  ];
}

function refuse(message: string): Doubt {
  return { severity: 'refuse', metric: null, line: null, message };
}
