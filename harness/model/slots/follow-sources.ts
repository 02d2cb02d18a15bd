import type { LampLinks } from '../../bench/lamp.ts';
import { hull } from '../band.ts';
import type { Target } from '../light.ts';
import type { Moment, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { saysOther } from './other-stream.ts';
import type { SacnMemory, SacnSource } from './sacn-memory.ts';
import { targetOf } from './slot-values.ts';
import { afterLoss, repeatTarget, takeTarget } from './take-slots.ts';

type Link = NonNullable<LampLinks['sacn']>;

/** A lamp behind a network interface takes its line for lost so long after its last frame, s (ANSI E1.11: 1 s to 1.25 s). */
export const slotLoss = 1;

/** Sources whose slots are in force at the highest priority: that one wins, and among equals the standard leaves it open. */
export function leaders({ sources }: SacnMemory): readonly SacnSource[] {
  const sending = sources.filter(({ slots }) => slots !== null);
  const highest = Math.max(...sending.map(({ priority }) => priority));
  return sending.filter(({ priority }) => priority === highest);
}

export function leads(world: World, { cid }: { readonly cid: string }): boolean {
  return leaders(world.sacn).some((own) => own.cid === cid);
}

/** The light follows the sources that lead. */
export function follow(world: World, link: Link, moment: Moment, wait = 0): readonly World[] {
  const leading = leaders(world.sacn);
  if (leading.some(({ cut }) => cut)) return followCut(world, link, moment, wait);
  const slots = leading.flatMap((own) => (own.slots ? [own.slots] : []));
  const [first] = slots;
  if (!first) return [world];
  const told = JSON.stringify(slots);
  const next = { ...world, sacn: { ...world.sacn, told, followed: first } };
  const equal = slots.every((own) => own.join() === first.join());
  const target = equal ? targetOf(moment.lamp, link, first) : mergedTarget(slots, link, moment);
  const why = equal
    ? null
    : 'several sources send at the same priority: how the lamp merges them is its own';
  const late = Math.max(wait, world.sacn.lossSettles - moment.at, 0);
  const how = { link: 'sacn' as const, why, late };
  const sameAgain = saysAgain(world.sacn.told, slots);
  if (sameAgain === 'surely' || saysOther(next, 'sacn', target, moment))
    return repeatTarget(next, target, how, moment);
  const taken = takeTarget(next, target, how, moment);
  if (sameAgain === 'perhaps')
    return fork(why ?? mergedAlike, taken, ...repeatTarget(next, target, how, moment));
  const { toldBefore, lossSettles, unmissedUntil } = world.sacn;
  const unnoticed = told === toldBefore && moment.at <= Math.max(lossSettles, unmissedUntil);
  if (!unnoticed) return [taken];
  return fork(unnoticedLoss, taken, ...repeatTarget(next, target, how, moment));
}

const mergedAlike =
  'the sources that lead are others now: what the lamp makes of them may be what it had made of those before';

/** Whether the lamp may have made the same slots of the sources that led before: any of them, or the highest of each slot. */
function saysAgain(
  told: string | null,
  slots: readonly (readonly number[])[],
): 'surely' | 'perhaps' | 'no' {
  if (told === null) return 'no';
  if (told === JSON.stringify(slots)) return 'surely';
  const before = madeOf(JSON.parse(told) as (readonly number[])[]);
  const now = madeOf(slots);
  if (![...now].some((one) => before.has(one))) return 'no';
  return before.size === 1 && now.size === 1 ? 'surely' : 'perhaps';
}

function madeOf(slots: readonly (readonly number[])[]): ReadonlySet<string> {
  return new Set([...slots, highestOf(slots)].map((own) => own.join()));
}

const leadingCut = 'a source leads whose slots end within those of the lamp: it may hear no signal';

/**
 * Cut slots have the light: the lamp hears nothing any more, unless their frames are a signal that it holds on to, or a source of the same
 * priority is heard in their place.
 */
function followCut(world: World, link: Link, moment: Moment, wait: number): readonly World[] {
  const { sacn } = world;
  const how = { link: 'sacn' as const, slots: link, by: moment.of };
  const within = wait + slotLoss + moment.allowances.lossDelay;
  const silent =
    sacn.told === null ? [world] : afterLoss(untold(world), { ...how, within }, moment);
  const sources = sacn.sources.filter(({ cut }) => !cut);
  const heard = leaders(sacn).some(({ cut }) => !cut)
    ? follow({ ...world, sacn: { ...sacn, sources } }, link, moment, wait)
    : [];
  const kept = heard.map((one) => ({ ...one, sacn: { ...one.sacn, sources: sacn.sources } }));
  return fork(leadingCut, ...silent, untold(world), ...kept);
}

export const unnoticedLoss =
  'a source came back as it was being lost: the lamp may not have noticed';

/** Any source's light, or that of the highest of each slot. */
function mergedTarget(slots: readonly (readonly number[])[], link: Link, { lamp }: Moment): Target {
  const targets = [...slots, highestOf(slots)].map((own) => targetOf(lamp, link, own));
  const none = { low: 0, high: 0 };
  return {
    level: hull(...targets.map(({ level }) => level)),
    mix: lamp.channels.map((_, place) => hull(...targets.map(({ mix }) => mix[place] ?? none))),
  };
}

function highestOf(slots: readonly (readonly number[])[]): readonly number[] {
  const length = Math.max(...slots.map((own) => own.length));
  return Array.from({ length }, (_, at) => Math.max(...slots.map((own) => own[at] ?? 0)));
}

/** Nobody leads any more: what comes next is news, but for a lamp that has not noticed yet. */
export function untold(world: World): World {
  return { ...world, sacn: { ...world.sacn, told: null, toldBefore: world.sacn.told } };
}
