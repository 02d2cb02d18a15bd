import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import type { Shard } from '../../record/shard-record.ts';
import { rigCost, simulatedCost } from '../../run/engine/expected-cost.ts';
import { Complaint } from '../complaint.ts';
import { isSimulated } from './read-bench.ts';

/** Part `number` of `of`, counted from 1. */
export type Part = Pick<Shard, 'number' | 'of'>;

/** The claims of one part of a selection, and what the record says of it. */
export interface PlannedShard {
  readonly plans: readonly Plan[];
  readonly shard: Shard;
}

/**
 * Spreads claims over parts that take about as long as each other: the longest first, each to the part that has the least so far. The
 * same claims, lamp and rig give the same parts on any machine. Throws a Complaint where there are fewer claims than parts.
 */
export function shardOf(
  all: readonly Plan[],
  { number, of }: Part,
  { lamp, rig }: { readonly lamp: Lamp; readonly rig: Rig },
): PlannedShard {
  if (all.length < of) {
    const claims = all.length === 1 ? '1 claim' : `${all.length} claims`;
    const text = `expected at most as many shards as there are claims, found ${of} shards of ${claims}; name fewer shards`;
    throw new Complaint('usage', text);
  }
  const costs = all.map((plan) => costOfClaim(plan, { lamp, rig }));
  const parts = spread(costs, of);
  return {
    plans: all.filter((_, place) => parts[place] === number - 1),
    shard: { number, of, whole: all.map(({ spec, digest }) => ({ spec, digest })) },
  };
}

/** What a claim takes on a rig, roughly, s; 0 where the lamp cannot have it. */
export function costOfClaim(
  { needs, conditions, repeat }: Plan,
  { lamp, rig }: { readonly lamp: Lamp; readonly rig: Rig },
): number {
  if (unmetNeed(needs, lamp) !== null) return 0;
  const costOf = isSimulated(rig) ? simulatedCost : rigCost;
  const once = conditions.reduce((sum, condition) => sum + costOf({ condition, lamp, rig }), 0);
  return repeat * once;
}

/** For each cost the part that it goes to, from 0. Costs of nothing are spread by count. */
export function spread(costs: readonly number[], of: number): readonly number[] {
  const loads = Array.from({ length: of }, () => ({ cost: 0, count: 0 }));
  const parts = costs.map(() => 0);
  const order = costs.map((cost, place) => ({ cost, place })).sort((a, b) => b.cost - a.cost);
  for (const { cost, place } of order) {
    let least = 0;
    for (const [part, load] of loads.entries()) {
      const best = loads[least] ?? load;
      if (load.cost < best.cost || (load.cost === best.cost && load.count < best.count))
        least = part;
    }
    const load = loads[least];
    if (load) loads[least] = { cost: load.cost + cost, count: load.count + 1 };
    parts[place] = least;
  }
  return parts;
}
