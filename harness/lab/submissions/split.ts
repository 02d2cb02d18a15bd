import type { Lamp } from '../../bench/lamp.ts';
import type { Rig } from '../../bench/rig.ts';
import type { Plan } from '../../plan/plan.ts';
import { unmetNeed } from '../../plan/unmet-need.ts';
import { costOfClaim, spread } from '../../workflow/inputs/shard.ts';
import { unprovableClaims } from '../../workflow/rig/unprovable-claims.ts';
import { Refusal } from '../refusal.ts';

/** A rig that claims could be judged on. */
export interface Candidate {
  readonly name: string;
  readonly rig: Rig;
}

export interface SplitShard {
  readonly claims: readonly string[];
  /** Names of the rigs that can prove all of them. */
  readonly rigs: readonly string[];
  readonly conditions: number;
  /** What it takes on one of them, roughly, s. */
  readonly cost: number;
}

interface Wanted {
  readonly shards: number | undefined;
  /** s */
  readonly shardTime: number;
}

/** Reasons that a message shows. */
const mostShown = 5;

/**
 * Claims in shards: those that the same rigs can prove go together, and each shard takes about as long as the others of its rigs. There
 * are at least as many as rigs, where there are claims enough. Throws a Refusal where no rig can prove a claim.
 */
export function splitSubmission(
  { plans, lamp }: { readonly plans: readonly Plan[]; readonly lamp: Lamp },
  candidates: readonly Candidate[],
  wanted: Wanted,
  today: string,
): readonly SplitShard[] {
  const able = ableRigs({ plans, lamp }, candidates, today);
  const groups = new Map<string, { rigs: readonly string[]; plans: Plan[] }>();
  for (const plan of plans) {
    const rigs = able.get(plan.spec) ?? [];
    const group = groups.get(rigs.join('\n')) ?? { rigs, plans: [] };
    group.plans.push(plan);
    groups.set(rigs.join('\n'), group);
  }
  const byName = new Map(candidates.map(({ name, rig }) => [name, rig]));
  const costed = [...groups.values()].map((group) => {
    const rig = byName.get(group.rigs[0] ?? '');
    const costs = group.plans.map((plan) => (rig ? costOfClaim(plan, { lamp, rig }) : 0));
    return { ...group, costs, sum: costs.reduce((sum, cost) => sum + cost, 0) };
  });
  const total = costed.reduce((sum, group) => sum + group.sum, 0);
  return costed.flatMap((group) => {
    const share = wanted.shards && total > 0 ? (wanted.shards * group.sum) / total : undefined;
    const asked = share ?? Math.max(group.sum / wanted.shardTime, group.rigs.length);
    const count = Math.min(Math.max(Math.round(asked), 1), group.plans.length);
    const parts = spread(group.costs, count);
    return Array.from({ length: count }, (_, part) => {
      const own = group.plans.filter((_plan, place) => parts[place] === part);
      const costs = group.costs.filter((_cost, place) => parts[place] === part);
      return {
        claims: own.map(({ spec }) => spec),
        rigs: group.rigs,
        conditions: own.reduce((sum, plan) => sum + plan.repeat * plan.conditions.length, 0),
        cost: costs.reduce((sum, cost) => sum + cost, 0),
      };
    });
  });
}

/** By claim the rigs that can prove it; a claim that the lamp cannot have is no trouble for any. */
function ableRigs(
  { plans, lamp }: { readonly plans: readonly Plan[]; readonly lamp: Lamp },
  candidates: readonly Candidate[],
  today: string,
): ReadonlyMap<string, readonly string[]> {
  const looked = new Map<Rig, ReadonlyMap<string, string>>();
  const refused = candidates.map(({ name, rig }) => {
    const why = looked.get(rig) ?? unprovableClaims({ plans, rig, lamp }, today);
    looked.set(rig, why);
    return { name, why };
  });
  const able = new Map<string, readonly string[]>();
  const impossible: string[] = [];
  for (const { spec, needs } of plans) {
    const cannot = unmetNeed(needs, lamp) !== null;
    const rigs = refused.filter(({ why }) => cannot || !why.has(spec)).map(({ name }) => name);
    able.set(spec, rigs);
    if (rigs.length > 0) continue;
    const reasons = refused.map(({ name, why }) => `${name}: ${why.get(spec) ?? ''}`);
    impossible.push(`${spec} (${reasons.join('; ')})`);
  }
  if (impossible.length === 0) return able;
  const more = impossible.length > mostShown ? `, and ${impossible.length - mostShown} more` : '';
  throw new Refusal(
    'invalid',
    `no rig of this lab can prove ${impossible.slice(0, mostShown).join(', ')}${more}; leave these claims out, or give a rig what it lacks`,
  );
}
