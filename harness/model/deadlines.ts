import type { Allowances } from './allowances.ts';
import { systemFailure } from './dali/arc-power.ts';
import { identifying, withRegisters } from './dali/configure.ts';
import { hullOf } from './light.ts';
import { noticeLoss } from './slots/dmx.ts';
import { loseSource, nextSourceLoss } from './slots/sacn.ts';
import type { Moment, Reaction, World } from './world.ts';
import { nothingKnown } from './worlds.ts';

/** A bus without power for so long has failed (IEC 62386-101, from memory: 450 to 550 ms). s */
const busFailure = 0.5;

/** The next instant at which the lamp does something by itself. */
export function nextDeadline(world: World, { lossDelay }: Allowances): number {
  const { busDown, identifyUntil } = world.gear.registers;
  const { lost } = world.slots;
  const never = Number.POSITIVE_INFINITY;
  return Math.min(
    busDown ? busDown.at + busFailure - Math.min(lossDelay, 0.05) : never,
    lost ? lost.noticed : never,
    nextSourceLoss(world.sacn),
    world.lost === identifying ? identifyUntil : never,
  );
}

/** What comes due at that instant. */
export function passDeadline(world: World, moment: Moment): readonly Reaction[] {
  if (nextDeadline(world, moment.allowances) > moment.at) return [{ world }];
  const { busDown, identifyUntil } = world.gear.registers;
  const due = moment.at;
  const { lossDelay } = moment.allowances;
  const plain = (worlds: readonly World[]) => worlds.map((one): Reaction => ({ world: one }));
  const isOff = world.power.lostAt !== null;
  if (busDown && due >= busDown.at + busFailure - Math.min(lossDelay, 0.05)) {
    const acted = withRegisters(world, { busDown: null });
    return plain(isOff ? [acted] : failed(acted, busDown.by, moment));
  }
  const { lost } = world.slots;
  if (lost && due >= lost.noticed) return plain(noticeLoss(world, moment));
  if (world.lost === identifying && due >= identifyUntil)
    return [{ world: { ...world, lost: null } }];
  return plain(loseSource(world, moment));
}

/** The bus has failed: within a tenth of a second the gear is at its SYSTEM FAILURE LEVEL. */
function failed(world: World, by: number, moment: Moment): readonly World[] {
  if (world.gearLost !== null) return [nothingKnown(world, world.gearLost)];
  const { lossDelay, latency } = moment.allowances;
  // A lamp that still starts acts when it has started.
  const starting = world.light.via ? world.light.from + world.light.latency - moment.at : 0;
  const late = Math.max(Math.min(lossDelay, 0.1) + latency.dali, starting);
  const allowances = { ...moment.allowances, latency: { ...latency, dali: late } };
  const waiting = {
    ...world,
    beforeFailure: { world, by, until: moment.at + 2 * Math.min(lossDelay, 0.05) },
  };
  return systemFailure(waiting, { ...moment, of: by, allowances }).map((one) => ({
    ...one,
    // A level that nobody commanded is not the last one (from memory), but lamps may differ.
    remembered: hullOf(world.remembered, one.remembered),
  }));
}
