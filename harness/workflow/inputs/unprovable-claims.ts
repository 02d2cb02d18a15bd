import { preflight } from '../../preflight/preflight.ts';
import type { RunInputs } from './run-inputs.ts';

/**
 * What preflight refuses of a run on a real rig, by spec id: the reasons, each with the figure that would be enough.
 * Told before anything is powered; these claims are then `not run`, since a figure taken all the same would prove nothing.
 */
export function unprovableClaims(
  { plans, rig, lamp }: Pick<RunInputs, 'plans' | 'rig' | 'lamp'>,
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
