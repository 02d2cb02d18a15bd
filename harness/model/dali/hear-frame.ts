import type { Moment, Reaction, World } from '../world.ts';
import { fork, nothingKnown } from '../worlds.ts';
import * as arcPower from './arc-power.ts';
import { colourCommand, colourType, hasColour } from './colour.ts';
import { configure } from './configuration.ts';
import { withRegisters } from './configure.ts';
import type { GearSettings } from './gear.ts';
import { query } from './queries.ts';
import { enableDeviceType, initialise, randomise, specialCommand } from './special.ts';
import { afterFrame } from './write-memory.ts';

/**
 * From the end of a frame to the end of its repetition, s: 94 ms and a frame count for sure, and beyond 105 ms and a frame nothing does
 * (settling times of IEC 62386-101, from memory).
 */
const twiceWithin = { surely: 0.094, atMost: 0.1225 };

/** The bus has power, or has lost it. */
export function hearBus(world: World, powered: boolean, { at, of }: Moment): readonly World[] {
  const { busPowered, busDown } = world.gear.registers;
  if (!powered) {
    const down = busPowered ? { at, by: of } : busDown;
    return [withRegisters(world, { busPowered: false, busDown: down })];
  }
  const back = { busPowered: true, busDown: null };
  const { beforeFailure } = world;
  const now = withRegisters({ ...world, beforeFailure: null }, back);
  // Whatever moved the light since did so in either case.
  const untouched = beforeFailure && world.light.lead === beforeFailure.by;
  if (!beforeFailure || !untouched || at > beforeFailure.until) return [now];
  return fork('the bus came back as it was failing', now, withRegisters(beforeFailure.world, back));
}

/** A forward frame. Frames of 24 bits are for control devices (IEC 62386-103): gear ignores them. */
export function hearFrame(
  world: World,
  frame: readonly number[],
  moment: Moment,
): readonly Reaction[] {
  if (!moment.lamp.links.dali) return [{ world, answers: ['silence'] }];
  if (frame.length !== 2) return silent(passedBy(world));
  if (world.gearLost !== null)
    return [{ world: nothingKnown(world, world.gearLost), answers: ['any'] }];
  if (moment.at < world.gear.registers.busyUntil)
    return [
      ...silent(fork('a frame came while the gear was busy with RESET', forgetful(world))),
      ...obey(world, frame, moment),
    ];
  return obey(world, frame, moment);
}

function silent(worlds: readonly World[]): readonly Reaction[] {
  return worlds.map((world) => ({ world, answers: ['silence'] as const }));
}

/** A frame between the two of a configuration command undoes the first, and so does one behind ENABLE DEVICE TYPE. */
function forgetful(world: World): World {
  const { once, deviceType } = world.gear.registers;
  return once || deviceType !== null
    ? withRegisters(world, { once: null, deviceType: null })
    : world;
}

function passedBy(world: World): readonly World[] {
  const forgotten = forgetful(world);
  if (forgotten === world) return [world];
  return fork(
    'a frame for control devices came between two frames that belong together',
    world,
    forgotten,
  );
}

function obey(world: World, frame: readonly number[], moment: Moment): readonly Reaction[] {
  return inSequence(world, frame, moment).flatMap((one) => obeyOne(one, frame, moment));
}

/** Whether other commands than levels end a DAPC sequence (IEC 62386-102 9.8.2) is told differently: it may, or not (from memory). */
function inSequence(
  world: World,
  [first = 0, second = 0]: readonly number[],
  { at }: Moment,
): readonly World[] {
  const isLevel = (first & 1) === 0 && (first < 0xa0 || first >= 0xfc);
  const moves = (first & 1) === 1 && second < 0x20;
  if (isLevel || moves || world.gear.registers.sequenceUntil < at) return [world];
  return fork('another command came within a DAPC sequence', world, ended(world));
}

function ended(world: World): World {
  return withRegisters(world, { sequenceUntil: Number.NEGATIVE_INFINITY });
}

function obeyOne(world: World, frame: readonly number[], moment: Moment): readonly Reaction[] {
  const [first = 0, second = 0] = frame;
  const clean = forgetful(world);
  const reactions =
    first >= 0xa0 && first < 0xfc
      ? special(world, clean, frame, moment)
      : isAddressed(first, world.gear.settings)
        ? addressed(world, clean, [first, second], moment)
        : [{ world: clean }];
  return reactions.map(({ world: after, answers }) => ({
    world: afterFrame(after, frame),
    answers: answers ?? ['silence'],
  }));
}

/** Short address, group, all gear, or all gear without an address (IEC 62386-102 7.2.2). */
function isAddressed(first: number, { shortAddress, groups }: GearSettings): boolean {
  if (first < 0x80) return first >> 1 === shortAddress;
  if (first < 0xa0) return ((groups >> ((first >> 1) & 0x0f)) & 1) === 1;
  return first >= 0xfe || shortAddress === null;
}

function special(
  world: World,
  clean: World,
  frame: readonly number[],
  moment: Moment,
): readonly Reaction[] {
  const [first] = frame;
  if (first === initialise || first === randomise)
    return twice(world, frame, moment, (counted) => specialCommand(counted, frame, moment));
  const { once } = world.gear.registers;
  const after = specialCommand(clean, frame, moment);
  if (first !== enableDeviceType || !once || once.deviceType === null) return after;
  // ENABLE DEVICE TYPE may go before each of the two frames, or before both.
  return after.flatMap(({ world: one }) =>
    fork('a device type was enabled between two frames', one, withRegisters(one, { once })).map(
      (forked) => ({ world: forked }),
    ),
  );
}

function addressed(
  world: World,
  clean: World,
  frame: readonly [number, number],
  moment: Moment,
): readonly Reaction[] {
  const [first, code] = frame;
  const plain = (worlds: readonly World[]) => worlds.map((one): Reaction => ({ world: one }));
  if ((first & 1) === 0) return plain(arcPower.directLevel(levelled(clean), code, moment));
  if (code >= 0xe0) return extended(world, clean, frame, moment);
  if (code >= 0x20 && code <= 0x81)
    return twice(world, frame, moment, (counted) => plain(configure(counted, code, moment)));
  if (code >= 0x90) return [query(clean, code, moment)];
  return plain(moved(code < 0x20 ? levelled(clean) : clean, code, moment));
}

/** A command for the level that moves nothing may or may not end the report of a power cycle (IEC 62386-102 9.16.8, from memory). */
function levelled(world: World): World {
  const { powerCycleSeen } = world.gear.registers;
  return powerCycleSeen === true ? withRegisters(world, { powerCycleSeen: null }) : world;
}

/** Indirect arc power control, 0x00 to 0x1f (IEC 62386-102 11.3). It ends a DAPC sequence. */
function moved(world: World, code: number, moment: Moment): readonly World[] {
  const free = ended(world);
  switch (code) {
    case 0x00:
      return arcPower.toLevel(free, 0, 0, moment);
    case 0x01:
      return arcPower.ramp(free, 1, moment);
    case 0x02:
      return arcPower.ramp(free, -1, moment);
    case 0x03:
      return arcPower.step(free, 1, moment);
    case 0x04:
      return arcPower.step(free, -1, moment);
    case 0x05:
      return arcPower.toLevel(free, free.gear.settings.max, 0, moment);
    case 0x06:
      return arcPower.toLevel(free, free.gear.settings.min, 0, moment);
    case 0x07:
      return arcPower.stepDownAndOff(free, moment);
    case 0x08:
      return arcPower.onAndStepUp(free, moment);
    case 0x09:
      return [withRegisters(world, { sequenceUntil: moment.at + 0.2 })];
    case 0x0a:
      return arcPower.lastActive(free, moment);
    case 0x0b:
      return arcPower.continuous(free, 1, moment);
    case 0x0c:
      return arcPower.continuous(free, -1, moment);
    default:
      return code >= 0x10 && code < 0x20 ? arcPower.goToScene(free, code & 0x0f, moment) : [world];
  }
}

/** Application extended commands are for the device type of the frame before alone. */
function extended(
  world: World,
  clean: World,
  frame: readonly [number, number],
  moment: Moment,
): readonly Reaction[] {
  const { deviceType, once } = world.gear.registers;
  const [, code] = frame;
  const repeated = once !== null && once.frame.join() === frame.join() ? once.deviceType : null;
  const type = deviceType ?? repeated;
  if (type === null) return [{ world: clean }];
  // Of other types the lamp file says nothing: whether the gear has them is its own.
  if (type !== colourType) return [{ world: clean, answers: code >= 0xf0 ? ['any'] : ['silence'] }];
  if (!hasColour(moment.lamp)) return [{ world: clean }];
  const over = arcPower.fadeTime(world);
  const act = (one: World) => colourCommand(one, code, over, moment);
  return code === 0xf2 || code === 0xf3 ? twice(world, frame, moment, act) : act(clean);
}

/** A command that counts only when it comes again, with no frame in between (IEC 62386-102 7.4, from memory). */
function twice(
  world: World,
  frame: readonly number[],
  { at }: Moment,
  take: (world: World) => readonly Reaction[],
): readonly Reaction[] {
  const { once, deviceType } = world.gear.registers;
  const first = withRegisters(world, {
    deviceType: null,
    once: { frame, at, deviceType: deviceType ?? once?.deviceType ?? null },
  });
  const waiting: Reaction = { world: first };
  if (!once || once.frame.join() !== frame.join()) return [waiting];
  const gap = at - once.at;
  if (gap > twiceWithin.atMost) return [waiting];
  const counted = () => take(withRegisters(world, { once: null, deviceType: null }));
  if (gap <= twiceWithin.surely) return counted();
  const [doubted = first] = fork('a command was repeated at the limit of the time for it', first);
  return [{ world: doubted }, ...counted()];
}
