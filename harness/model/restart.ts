import { restart } from './power.ts';
import { rememberSources } from './slots/sacn.ts';
import type { Moment, World } from './world.ts';
import { fork } from './worlds.ts';

/**
 * The firmware restarts while the power stays. No standard says what else of a lamp that takes along: a network interface may go on as if
 * nothing had been.
 */
export function restartFirmware(world: World, moment: Moment): readonly World[] {
  return restart(world, moment).flatMap((alone) => {
    const remembering = rememberSources(alone, world, moment);
    return remembering.length === 0 ? [alone] : fork(whichParts, alone, ...remembering);
  });
}

const whichParts = 'the firmware restarted: its network interface may have lived through it';
