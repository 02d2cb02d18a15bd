import type { SlotLink } from '../../bench/lamp.ts';
import { hull, isExact } from '../band.ts';
import { identifying } from '../dali/configure.ts';
import {
  belowBottom,
  boundedByGear,
  hullOf,
  type Manner,
  mixNow,
  moveLight,
  sameEnd,
  type Target,
} from '../light.ts';
import { noteOtherLink } from '../other-link.ts';
import { same } from '../same.ts';
import type { Moment, PendingLoss, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { otherStream, type SlotLinkName, unheardOf } from './other-stream.ts';

interface Arrival {
  readonly link: SlotLinkName;
  readonly why?: string | null;
  /** How much later than by the latency of the link, s. */
  readonly late?: number;
}

/** Slots move the light at once, whatever link had it before. */
export function takeTarget(world: World, target: Target, how: Arrival, moment: Moment): World {
  // It may be the same again, which tells nothing of a light of which nothing is known.
  if (world.lost !== null && world.lost !== identifying) return world;
  const heard = world.pendingLoss?.link === how.link ? { ...world, pendingLoss: null } : world;
  return moveTo(heard, target, how, moment);
}

function moveTo(world: World, target: Target, how: Arrival, moment: Moment): World {
  const { allowances, lamp } = moment;
  const bounded = boundedByGear(world, target.level);
  const manner: Manner = {
    over: 0,
    shape: lamp.curve.kind === 'linear' ? 'linear' : 'geometric',
    latency: allowances.latency[how.link] + (how.late ?? 0),
    dilation: 0,
    floor: null,
    why: how.why ?? (isExact(target.level) ? bounded.why : belowBottom),
    onBus: false,
    glides: true,
  };
  const moved = moveLight(world, { level: bounded.level, mix: target.mix }, manner, moment);
  return noteOtherLink(moved, bounded);
}

/**
 * Slots that say the same again: where another link has moved the light since, they may take it back (they are a command too) or not
 * (nothing is new). Which of both is a habit of the lamp, the same each time; but where both streams are there, or one of them has just gone,
 * no standard says which of them has the light.
 */
export function repeatTarget(
  world: World,
  target: Target,
  how: Arrival,
  moment: Moment,
): readonly World[] {
  const taken = takeTarget(world, target, how, moment);
  // In the dark two mixes look the same, and only one of them is lit next.
  const isThere =
    world.light.over === 0 && sameEnd(world.light, taken.light) && same(world.mix, taken.mix);
  if (isThere) return [taken];
  if (world.retold === how.link || otherStream(world, how.link, moment)) {
    const undecided = how.link === world.retold ? null : world.retold;
    return fork(twoStreams, { ...taken, retold: undecided }, { ...world, retold: undecided });
  }
  if (world.repeatsCount === true) return [taken];
  if (world.repeatsCount === false) return [world];
  return fork(
    'slots came again unchanged after another link had moved the light: they may count as a command or not',
    { ...taken, repeatsCount: true },
    { ...world, repeatsCount: false },
  );
}

/** The signal is lost: the lamp holds its light or goes dark, as its file says. */
export function afterLoss(
  world: World,
  {
    link,
    slots,
    by,
    within,
  }: {
    readonly link: SlotLinkName;
    readonly slots: SlotLink;
    readonly by: number;
    /** How late the lamp may notice it, s. */
    readonly within: number;
  },
  moment: Moment,
): readonly World[] {
  const held = slots.onLoss === 'hold';
  const other = otherStream(world, link, moment);
  const led = { ...moment, of: by };
  if (held && !other) return [world];
  const late = { link: other?.link ?? link, late: within };
  if (held && other) {
    const waiting = { ...world, retold: other.link };
    return fork(oneOfTwo, waiting, takeTarget(world, other.target, late, led));
  }
  const dark = goDark(world, { link, by, until: moment.at + within }, moment);
  // Whether the lamp comes back from that with the light that it had is its own.
  const gone = { ...dark, remembered: hullOf(world.remembered, dark.remembered) };
  if (other) {
    const waiting = { ...world, retold: other.link };
    const handed = takeTarget(world, other.target, late, led);
    return fork(oneOfTwo, unheardOf(gone, other.link), waiting, handed);
  }
  // What another link has said since may stay.
  const since = world.light.lead > by || !isExact(world.light.level.final);
  return since ? fork('a signal was lost that another link had followed', gone, world) : [gone];
}

function goDark(world: World, pending: PendingLoss, moment: Moment): World {
  const off: Target = { level: hull({ low: 0, high: 0 }), mix: mixNow(world, moment) };
  const how = { link: pending.link, late: pending.until - moment.at };
  const dark = takeTarget(world, off, how, { ...moment, of: pending.by });
  return { ...dark, pendingLoss: pending.until > moment.at ? pending : null };
}

/** A command that came while a loss may not have been noticed yet: the lamp had gone dark before it, or goes dark behind it. */
export function beforeLoss(world: World, moment: Moment): readonly World[] {
  const { pendingLoss: pending, light } = world;
  if (!pending || pending.until <= moment.at || light.lead !== moment.of) return [world];
  return fork(lossPending, { ...world, pendingLoss: null }, goDark(world, pending, moment));
}

const lossPending = 'a command came as the signal of a stream was being lost';
const twoStreams =
  'DMX512 and sACN speak both: slots that come again unchanged may take the light back or not';
const oneOfTwo =
  'one of DMX512 and sACN was lost while the other is there: it may have the light, or the loss counts';
