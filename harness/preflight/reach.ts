import type { Lamp } from '../bench/lamp.ts';
import type { Rig } from '../bench/rig.ts';
import { ambientLacks } from '../plan/ambient-lacks.ts';
import type { CapturePlan } from '../plan/captures/plan-captures.ts';
import type { Condition } from '../plan/plan.ts';
import { rigLacks } from '../plan/rig-lacks.ts';
import type { Doubt } from './doubt.ts';

/** Whether the rig has the inputs, links and supply that a condition asks for. */
export function checkReach(
  condition: Condition,
  { unserved }: CapturePlan,
  { rig, lamp }: { readonly rig: Rig; readonly lamp: Lamp },
): Doubt[] {
  return [
    ...unserved.map(({ signal, of }) => {
      const wired = rig.wiring.some((wire) => wire.signal === signal);
      const what = wired && of !== signal ? `${signal} of ${of}` : signal;
      return refuse(
        `needs a record of ${what}, but rig ${rig.rig} has no input for it; add a line to its wiring`,
      );
    }),
    ...rigLacks(condition.stimulus, rig).map(refuse),
    ...ambientLacks(condition, { rig, lamp }).map(refuse),
  ];
}

function refuse(message: string): Doubt {
  return { severity: 'refuse', metric: null, line: null, message };
}
