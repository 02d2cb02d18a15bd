import type { Moment, PossibleAnswer, Reaction, World } from '../world.ts';
import { fork } from '../worlds.ts';
import { setShortAddress } from './configuration.ts';
import { withRegisters, withSettings } from './configure.ts';
import type { Flag } from './gear.ts';
import { writeMemory } from './write-memory.ts';

/** Commissioning ends by itself after 15 min, give or take a tenth (IEC 62386-102 9.14.2, from memory). s */
const initialisedFor = { least: 13.5 * 60, most: 16.5 * 60 };
const yes: readonly PossibleAnswer[] = [{ byte: 255 }];

/** First bytes of special commands (IEC 62386-102 11.7). */
export const initialise = 0xa5;
export const randomise = 0xa7;
export const enableDeviceType = 0xc1;

/** A special command, which has no address. Reserved ones change nothing. */
export function specialCommand(
  world: World,
  [first = 0, value = 0]: readonly number[],
  moment: Moment,
): readonly Reaction[] {
  const only = (after: World): readonly Reaction[] => [{ world: after }];
  switch (first) {
    case 0xa1:
      return only(withRegisters(world, { initialisedAt: null, withdrawn: false }));
    case 0xa3:
      return only(withRegisters(world, { dtr0: value }));
    case initialise:
      return only(begin(world, value, moment));
    case randomise:
      return whenInitialised(world, moment, () =>
        only(withSettings(world, { randomAddress: null }, moment)),
      );
    case 0xc3:
      return only(withRegisters(world, { dtr1: value }));
    case 0xc5:
      return only(withRegisters(world, { dtr2: value }));
    case enableDeviceType:
      return only(withRegisters(world, { deviceType: value }));
    case 0xc7:
    case 0xc9:
      return writeMemory(world, { value, answered: first === 0xc7 }, moment);
    default:
      return commissioning(world, first, value, moment);
  }
}

function commissioning(
  world: World,
  first: number,
  value: number,
  moment: Moment,
): readonly Reaction[] {
  const shift = { 177: 16, 179: 8, 181: 0 }[first];
  if (shift !== undefined)
    return whenInitialised(world, moment, () => [{ world: withSearch(world, value, shift) }]);
  switch (first) {
    case 0xa9:
      return whenInitialised(world, moment, () => [{ world, answers: compare(world) }]);
    case 0xab:
      return whenInitialised(world, moment, () => [{ world: withdraw(world) }]);
    case 0xb7:
      return whenInitialised(world, moment, () => program(world, value, moment));
    case 0xb9:
      return whenInitialised(world, moment, () => [{ world, answers: verify(world, value) }]);
    case 0xbb:
      return whenInitialised(world, moment, () => [{ world, answers: tellAddress(world) }]);
    default:
      return [{ world }];
  }
}

/** Who is meant: all gear (0), gear without an address (255), or the one of an address. */
function begin(world: World, value: number, { at }: Moment): World {
  const { shortAddress } = world.gear.settings;
  const own = shortAddress === null ? null : (shortAddress << 1) | 1;
  const meant = value === 0 || (value === 255 ? shortAddress === null : value === own);
  if (!meant) return world;
  return withRegisters(world, { initialisedAt: at, withdrawn: false });
}

function whenInitialised(
  world: World,
  { at }: Moment,
  take: () => readonly Reaction[],
): readonly Reaction[] {
  const { initialisedAt } = world.gear.registers;
  const age = initialisedAt === null ? Number.POSITIVE_INFINITY : at - initialisedAt;
  if (age >= initialisedFor.most) return [{ world, answers: ['silence'] }];
  if (age <= initialisedFor.least) return take();
  const [over = world] = fork('the 15 minutes of commissioning are about to end', world);
  return [{ world: over, answers: ['silence'] }, ...take()];
}

function withSearch(world: World, value: number, shift: number): World {
  const { search } = world.gear.registers;
  const kept = search & ~(0xff << shift) & 0xff_ff_ff;
  return withRegisters(world, { search: kept | (value << shift) });
}

/** Whether the random address is the one that is searched for, and not withdrawn. */
function isSelected(world: World): Flag {
  const { search } = world.gear.registers;
  const { randomAddress } = world.gear.settings;
  return randomAddress === null ? null : randomAddress === search;
}

function compare(world: World): readonly PossibleAnswer[] {
  const { search, withdrawn } = world.gear.registers;
  const { randomAddress } = world.gear.settings;
  if (withdrawn === true) return ['silence'];
  const found = search === 0xff_ff_ff || (randomAddress !== null && randomAddress <= search);
  if (found && withdrawn === false) return yes;
  return randomAddress !== null && !found ? ['silence'] : [...yes, 'silence'];
}

function withdraw(world: World): World {
  const selected = isSelected(world);
  if (selected === false || world.gear.registers.withdrawn) return world;
  return withRegisters(world, { withdrawn: selected });
}

function program(world: World, value: number, moment: Moment): readonly Reaction[] {
  const selected = isSelected(world);
  if (selected === false) return [{ world }];
  const programmed = setShortAddress(world, value, moment);
  if (selected || programmed === world) return [{ world: programmed }];
  return fork(
    'an address was given to the gear of a random address that only the gear knows',
    world,
    programmed,
  ).map((one) => ({ world: one }));
}

/** Whether the gear has to be the one that is searched for is another question in each edition (from memory). */
function verify(world: World, value: number): readonly PossibleAnswer[] {
  const { shortAddress } = world.gear.settings;
  if (shortAddress === null || value !== ((shortAddress << 1) | 1)) return ['silence'];
  return isSelected(world) === true ? yes : [...yes, 'silence'];
}

function tellAddress(world: World): readonly PossibleAnswer[] {
  const { shortAddress } = world.gear.settings;
  const selected = isSelected(world);
  if (selected === false) return ['silence'];
  const told: PossibleAnswer = { byte: shortAddress === null ? 255 : (shortAddress << 1) | 1 };
  return selected ? [told] : [told, 'silence'];
}
