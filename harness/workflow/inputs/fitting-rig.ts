import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';

/** A simulated rig without the links that the lamp does not have: one rig file serves every simulated lamp. */
export function fittingRig(rig: Rig, lamp: Lamp): Rig {
  const carried = Object.entries(rig.links);
  const fits = ([link]: readonly [string, string]): boolean => Object.hasOwn(lamp.links, link);
  const kept = carried.filter(fits);
  if (kept.length === carried.length) return rig;
  const used = new Set(kept.map(([, instrument]) => instrument));
  const idle = new Set(carried.map(([, instrument]) => instrument).filter((one) => !used.has(one)));
  return {
    ...rig,
    links: Object.fromEntries(kept),
    instruments: rig.instruments.filter(({ name }) => !idle.has(name)),
  };
}
