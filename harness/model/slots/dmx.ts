import type { HeardOf } from '../../bench/heard.ts';
import { dmxFrameTime } from '../overlap.ts';
import type { Moment, Reaction, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { saysOther } from './other-stream.ts';
import { hearRdm, rdmStartCode } from './rdm.ts';
import { cutShort } from './short-frames.ts';
import { slotsOf, targetOf } from './slot-values.ts';
import { afterLoss, repeatTarget, takeTarget } from './take-slots.ts';

/** A receiver acts on a lost signal after so long (ANSI E1.11: 1 s to 1.25 s). s */
const slotLoss = 1;

/**
 * A frame of the DMX512 line. Only start code 0 is light (ANSI E1.11 8.5); slots that a frame does not send keep their values.
 */
export function hearSlots(
  world: World,
  { startCode, slots, unframed }: HeardOf<'dmx'>,
  moment: Moment,
): readonly Reaction[] {
  const own = moment.lamp.links.dmx;
  if (own?.rdm && startCode === rdmStartCode)
    return hearRdm(world, slots, moment).map((one) => ({ world: one }));
  if (!own) return [{ world }];
  if (startCode !== 0) return otherCode(world).map((one) => ({ world: one }));
  const link = { ...own, firstSlot: world.slots.firstSlot ?? own.firstSlot };
  const { values: old } = world.slots;
  // What the lamp has not noticed to be lost goes on.
  const alive = world.slots.alive || world.slots.lost !== null;
  const values = [...slots, ...old.slice(slots.length)];
  const heard = { ...world, slots: { ...world.slots, values, alive: true, lost: null } };
  const { from, to } = slotsOf(moment.lamp, link);
  const cutTo = (taken: readonly World[]): Reaction[] =>
    cutShort(
      world,
      { taken, uncounted: [{ world, ledByOther: false }], link: 'dmx', slots: own },
      moment,
    ).map((one) => ({ world: one }));
  if (slots.length <= from) return cutTo([heard]);
  const target = targetOf(moment.lamp, link, values);
  const how = { link: 'dmx' as const, late: dmxFrameTime({ slots }) };
  const again = values.slice(from, to).every((value, index) => value === (old[from + index] ?? 0));
  const taken =
    (again && alive) || saysOther(heard, 'dmx', target, moment)
      ? repeatTarget(heard, target, how, moment)
      : [takeTarget(heard, target, how, moment)];
  if (unframed && !world.slots.alive)
    return fork(unframedSignal, world, ...taken).map((one) => ({ world: one }));
  if (slots.length >= to) return taken.map((one) => ({ world: one }));
  return cutTo(taken);
}

/** No levels; whether it is a signal to hold on to the standard does not say. */
function otherCode(world: World): readonly World[] {
  if (world.slots.alive) return [world];
  const held = { ...world, slots: { ...world.slots, alive: true, lost: null } };
  return fork('frames of other start codes may count as a signal, or as none', world, held);
}

const unframedSignal = 'bytes without a break may count as a signal, or as none';

/** The signal stops. */
export function loseSlots(world: World, { at, of }: Moment): World {
  if (!world.slots.alive) return world;
  const lost = { at, by: of, noticed: at + slotLoss };
  return { ...world, slots: { ...world.slots, alive: false, lost } };
}

/** The lamp may take the signal for lost now, or look at it a little later: what comes meanwhile finds it lost or not. */
export function noticeLoss(world: World, moment: Moment): readonly World[] {
  const { lost } = world.slots;
  const dmx = moment.lamp.links.dmx;
  if (!lost || !dmx) return [world];
  // What of sACN was not missed is missed now.
  const unmissedUntil = Math.min(world.sacn.unmissedUntil, moment.at + moment.allowances.lossDelay);
  const acted = {
    ...world,
    ...{ slots: { ...world.slots, lost: null }, sacn: { ...world.sacn, unmissedUntil } },
  };
  const isOff = world.power.lostAt !== null;
  const how = { link: 'dmx' as const, slots: dmx, by: lost.by, within: 0 };
  const now = isOff ? [acted] : afterLoss(acted, how, moment);
  const last = lost.at + slotLoss + moment.allowances.lossDelay;
  if (isOff || lost.noticed >= last) return now;
  const later = { ...world, slots: { ...world.slots, lost: { ...lost, noticed: last } } };
  return fork('a signal is being lost, which the lamp notices within 1 s to 1.25 s', ...now, later);
}
