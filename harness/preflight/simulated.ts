import type { Rig } from '../bench/rig.ts';
import type { Plan } from '../plan/plan.ts';
import type { Doubt } from './doubt.ts';

/** A claim that takes weeks is for a bench whose time is virtual. */
export function checkSimulated({ needs }: Pick<Plan, 'needs'>, rig: Rig): Doubt[] {
  if (!needs.simulated || rig.instruments.every(({ driver }) => driver === 'plant')) return [];
  const message = `needs the simulated lamp, since it takes weeks, and rig ${rig.rig} has the time of a real bench; leave the claim to a run without --rig`;
  return [{ severity: 'refuse', metric: null, line: null, message }];
}
