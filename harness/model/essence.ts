import type { Allowances } from './allowances.ts';
import { type Piece, still } from './course.ts';
import { passing, restsSince, slackOf, stillSeen } from './light.ts';
import type { World } from './world.ts';

const long = Number.NEGATIVE_INFINITY;
/** Beyond this no frame waits for its repetition, and no gear mistakes the end of a DAPC sequence, s. */
const longest = 0.2;

/**
 * What of a world can still matter from an instant on: instants that are over, and what they were kept for, are left out. Worlds
 * of one essence have the same future.
 */
export function essence(world: World, at: number, allowances: Allowances): unknown {
  const { remembered, settingsBefore, power, beforeFailure, sacn, gear, pendingLoss } = world;
  const { registers } = gear;
  const stored = at - restsSince(world) >= allowances.storing;
  const past = (instant: number) => (instant <= at ? long : instant);
  return {
    ...world,
    doubt: null,
    light: lightEssence(world.light, at, allowances),
    remembered: { ...remembered, at: stored ? long : remembered.at },
    before: stored ? null : world.before,
    settingsBefore: settingsBefore.until <= at ? null : settingsBefore,
    pendingLoss: pendingLoss && pendingLoss.until > at ? pendingLoss : null,
    power: { ...power, deafUntil: past(power.deafUntil) },
    beforeFailure: beforeFailure && beforeFailure.until > at ? beforeFailure : null,
    sacn: {
      ...sacn,
      lossSettles: past(sacn.lossSettles),
      unmissedUntil: past(sacn.unmissedUntil),
      toldBefore: Math.max(sacn.lossSettles, sacn.unmissedUntil) > at ? sacn.toldBefore : null,
      missed: sacn.lossSettles > at ? sacn.missed : null,
    },
    gear: {
      ...gear,
      registers: {
        ...registers,
        once: registers.once && at - registers.once.at <= longest ? registers.once : null,
        sequenceUntil: past(registers.sequenceUntil + longest),
        colourArrives: registers.colourArrives === null ? null : past(registers.colourArrives),
        busyUntil: past(registers.busyUntil),
        identifyUntil: past(registers.identifyUntil),
      },
    },
  };
}

/** A light that rests, and has done so for its latency, is its final bounds. */
function lightEssence(light: Piece, at: number, { tick }: Allowances): unknown {
  const slack = slackOf(light, at, tick);
  const rests = at >= light.from + light.over + light.latency + slack;
  if (!rests) {
    const glide = passing(light, at);
    const replaces = stillSeen(light.replaces, at);
    return { ...light, lead: 0, glide: glide.length > 0 ? glide : null, replaces };
  }
  const { level, channels, why } = light;
  return { level: still(level.final), channels: channels.map(({ final }) => still(final)), why };
}
