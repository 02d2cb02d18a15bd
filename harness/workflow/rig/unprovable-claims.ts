import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { preflight } from '../../preflight/preflight.ts';

/**
 * Claims that preflight refuses on a rig, by spec id: the reasons, each with the figure that would be enough. Known before
 * anything is powered. They become `not run`, since a figure taken all the same would prove nothing. `today`: YYYY-MM-DD.
 */
export function unprovableClaims(
  { plans, rig, lamp }: { readonly plans: readonly Plan[]; readonly rig: Rig; readonly lamp: Lamp },
  today: string,
): Map<string, string> {
  const refused = plans.map((plan) => {
    const reasons = preflight(plan, rig, lamp, today)
      .filter(({ severity }) => severity === 'refuse')
      .map(({ message }) => message);
    return [plan.spec, [...new Set(reasons)].join('; ')] as const;
  });
  return new Map(refused.filter(([, reasons]) => reasons !== ''));
}
