import type { Moment, PossibleAnswer, Reaction, World } from '../world.ts';
import { withRegisters } from './configure.ts';

/** The lock byte of bank 1 after power-on, and while the bank may be written (IEC 62386-102 9.10, from memory). */
export const locked = 0xff;
const unlocked = 0x55;
const lockAt = 2;

interface Write {
  readonly value: number;
  /** WRITE MEMORY LOCATION, and not the one without an answer. */
  readonly answered: boolean;
}

/**
 * What may be written where is the lamp's own, but for the lock of bank 1: a byte behind it is not written, nor answered, while it is
 * closed (IEC 62386-102 9.10 and 11.7, from memory). DTR0 moves on where something was written.
 */
export function writeMemory(
  world: World,
  { value, answered }: Write,
  { lamp }: Moment,
): readonly Reaction[] {
  const { writeEnabled, dtr0, dtr1, lock } = world.gear.registers;
  if (writeEnabled === false) return [{ world }];
  const told = (answers: readonly PossibleAnswer[]) => (answered ? { answers } : {});
  const mayBeLock = dtr1 === null || (dtr1 === 1 && (dtr0 === null || dtr0 === lockAt));
  const moved = withRegisters(world, { dtr0: null, ...(mayBeLock && { lock: null }) });
  const own = dtr1 === 1 && lamp.links.dali?.banks?.includes(1);
  if (!own || dtr0 === null || writeEnabled === null) return [{ world: moved, ...told(['any']) }];
  if (dtr0 === lockAt) {
    const set = withRegisters(world, { dtr0: lockAt + 1, lock: value });
    return [{ world: set, ...told([{ byte: value }]) }];
  }
  const isClosed = lock !== null && lock !== unlocked;
  return [{ world: moved, ...told([isClosed ? 'silence' : 'any']) }];
}

/** Special commands that go with writing: the registers, and the two of writing themselves. */
const goWithWriting = [0xa3, 0xc3, 0xc5, 0xc7, 0xc9];
/** ENABLE WRITE MEMORY, the queries of the registers, READ MEMORY LOCATION. */
const goWithWritingTo = [0x81, 0x98, 0x9c, 0x9d, 0xc5];

/** Other commands than those that go with it end the writing of memory; whether ones for others do is open (from memory). */
export function afterFrame(world: World, [first = 0, second = 0]: readonly number[]): World {
  if (world.gear.registers.writeEnabled !== true) return world;
  const isSpecial = first >= 0xa0 && first < 0xfc;
  const goesOn = isSpecial
    ? goWithWriting.includes(first)
    : (first & 1) === 1 && goWithWritingTo.includes(second);
  return goesOn ? world : withRegisters(world, { writeEnabled: null });
}
