import type { Target } from '../light.ts';
import { same } from '../same.ts';
import type { Moment, World } from '../world.ts';
import { targetOf } from './slot-values.ts';

export type SlotLinkName = 'dmx' | 'sacn';

/** The other of the two streams of slots, where it is there. */
interface OtherStream {
  readonly link: SlotLinkName;
  /** The light that it asked for last. */
  readonly target: Target;
}

/** What the other stream says while this one speaks, or ends; null where it is not there. */
export function otherStream(
  world: World,
  link: SlotLinkName,
  { lamp }: Moment,
): OtherStream | null {
  const { slots, sacn } = world;
  const { links } = lamp;
  if (link === 'dmx') {
    if (!links.sacn || sacn.told === null || sacn.followed === null) return null;
    return { link: 'sacn', target: targetOf(lamp, links.sacn, sacn.followed) };
  }
  if (!links.dmx || (!slots.alive && slots.lost === null)) return null;
  const own = { ...links.dmx, firstSlot: slots.firstSlot ?? links.dmx.firstSlot };
  return { link: 'dmx', target: targetOf(lamp, own, slots.values) };
}

/** Whether the other stream says the very same: a lamp with one input for both hears nothing new. */
export function saysOther(
  world: World,
  link: SlotLinkName,
  target: Target,
  moment: Moment,
): boolean {
  const other = otherStream(world, link, moment);
  return other !== null && same(other.target, target);
}

/** The stream is news again with what it says next. */
export function unheardOf(world: World, link: SlotLinkName): World {
  return link === 'dmx'
    ? { ...world, slots: { ...world.slots, alive: false } }
    : { ...world, sacn: { ...world.sacn, told: null } };
}
