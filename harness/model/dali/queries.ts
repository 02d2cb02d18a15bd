import type { Lamp } from '../../bench/lamp.ts';
import { type Band, exactly } from '../band.ts';
import { courseWithin } from '../course.ts';
import { slackOf } from '../light.ts';
import { same } from '../same.ts';
import type { Moment, PossibleAnswer, Reaction, World } from '../world.ts';
import { withRegisters } from './configure.ts';
import type { Flag } from './gear.ts';
import { levelsWithin } from './levels.ts';
import { luminaireByte } from './luminaire-bank.ts';
import { newGear, physicalMinimum, resetSettings } from './new-gear.ts';

/** A backward frame begins within 10.5 ms (IEC 62386-101, confirmed in public texts): until then the level may move on. */
const answerDelay = 0.0105;
const yes = 255;

/** What a query is answered (IEC 62386-102 11.5). Reserved ones are not answered. */
export function query(world: World, code: number, moment: Moment): Reaction {
  if (code === 0xc5) return readMemory(world, moment.lamp);
  return { world, answers: answersOf(world, code, moment) };
}

function answersOf(world: World, code: number, moment: Moment): readonly PossibleAnswer[] {
  const { settings } = world.gear;
  const flag = flagOf(world, code, moment);
  if (flag !== undefined) return yesOrNo(flag);
  const setting = settingOf(world, code, moment);
  if (setting !== undefined) return setting === null ? ['some-byte'] : [{ byte: setting }];
  if (code === 0x90) return statuses(world, moment);
  if (code === 0xa0) return actualLevels(world, moment);
  if (code >= 0xb0 && code <= 0xbf) return [{ byte: settings.scenes[code & 0x0f]?.level ?? yes }];
  // Version and device type: every gear has them, and which is its own.
  if (code === 0x97 || code === 0x99) return ['some-byte'];
  // Modes, light source and the next device type, which not every edition asks for.
  if ([0x9e, 0x9f, 0xa6, 0xa7].includes(code)) return ['any'];
  return ['silence'];
}

function yesOrNo(flag: Flag): readonly PossibleAnswer[] {
  if (flag === null) return [{ byte: yes }, 'silence'];
  return flag ? [{ byte: yes }] : ['silence'];
}

/** Queries for yes or no; undefined for others. */
function flagOf(world: World, code: number, moment: Moment): Flag | undefined {
  const { settings, registers } = world.gear;
  switch (code) {
    case 0x91:
      return true;
    case 0x92:
    case 0xaa:
      return isUnwell(world) ? null : false;
    case 0x93:
      return isLit(world, moment);
    case 0x94:
      return registers.limitError;
    case 0x95:
      return isReset(world, moment);
    case 0x96:
      return settings.shortAddress === null;
    case 0x9b:
      return registers.powerCycleSeen;
    default:
      return undefined;
  }
}

/** Queries for a byte that stands still; null where the standard does not say it, undefined for others. */
function settingOf(world: World, code: number, { lamp }: Moment): number | null | undefined {
  const { settings, registers } = world.gear;
  const random = (shift: number) =>
    settings.randomAddress === null ? null : (settings.randomAddress >> shift) & 0xff;
  const values: Readonly<Record<number, number | null>> = {
    152: registers.dtr0,
    154: physicalMinimum(lamp),
    156: registers.dtr1,
    157: registers.dtr2,
    161: settings.max,
    162: settings.min,
    163: settings.powerOnLevel,
    164: settings.systemFailureLevel,
    165: (settings.fadeTime << 4) | settings.fadeRate,
    168: settings.extendedFadeTime,
    192: settings.groups & 0xff,
    193: settings.groups >> 8,
    194: random(16),
    195: random(8),
    196: random(0),
  };
  return values[code];
}

function isUnwell({ strain, heat }: World): boolean {
  return strain !== null || heat !== null;
}

/** Level that the gear may report; null where the light was told by another link, or by its start, a moment ago. */
function reported(world: World, { at, allowances }: Moment): Band | null {
  const { light } = world;
  if (!light.onBus && at < light.from + light.latency) return null;
  const slack = slackOf(light, at, allowances.tick);
  const first = Math.max(light.from, at - slack - allowances.latency.dali);
  const fade = courseWithin(light, light.level, first, at + slack + answerDelay);
  return light.over === 0 ? light.level.final : fade;
}

function actualLevels(world: World, moment: Moment): readonly PossibleAnswer[] {
  const level = reported(world, moment);
  if (!level || isUnwell(world)) return ['some-byte'];
  return levelsWithin(level).map((byte) => ({ byte }));
}

function isLit(world: World, moment: Moment): Flag {
  const level = reported(world, moment);
  if (!level || isUnwell(world) || (level.low === 0 && level.high > 0)) return null;
  return level.low > 0;
}

function isFadeRunning({ light, lost }: World, { at, allowances }: Moment): Flag {
  if (lost !== null) return null;
  if (light.over === 0) return light.onBus || at >= light.from + light.latency ? false : null;
  // A fade of the colour alone counts as one, or not: the standard does not say.
  if (
    same(light.level.start, light.level.end) &&
    at < light.from + light.over * (1 + light.dilation) + light.latency
  )
    return null;
  if (!light.onBus)
    return at < light.from + light.over * (1 + light.dilation) + light.latency ? null : false;
  const slack = slackOf(light, at, allowances.tick) + allowances.latency.dali;
  const end = light.from + light.over;
  return at + slack + answerDelay < end ? true : at - slack >= end ? false : null;
}

/** RESET STATE: every setting is as after RESET; null where it is a question of what came from the factory. */
function isReset(world: World, { lamp, allowances }: Moment): Flag {
  const { settings } = world.gear;
  const { shortAddress } = settings;
  const fresh = resetSettings(lamp, shortAddress);
  if (same(settings, fresh)) return true;
  // Group and levels of the factory, and a random address, may or may not count as settings that were made.
  if (!allowances.memory) return null;
  const factory = {
    ...newGear(lamp, allowances.memory, exactly(allowances.memory.level)).settings,
    shortAddress,
  };
  return same({ ...settings, randomAddress: fresh.randomAddress }, factory) ? null : false;
}

/** Bits of QUERY STATUS, each of which may be undecided: every byte that they can make. */
function statuses(world: World, moment: Moment): readonly PossibleAnswer[] {
  const { settings, registers } = world.gear;
  const failing = isUnwell(world) ? null : false;
  const bits: readonly Flag[] = [
    failing,
    failing,
    isLit(world, moment),
    registers.limitError,
    isFadeRunning(world, moment),
    isReset(world, moment),
    settings.shortAddress === null,
    registers.powerCycleSeen,
  ];
  let bytes = [0];
  for (const [place, bit] of bits.entries()) {
    const set = bytes.map((byte) => byte | (1 << place));
    if (bit !== false) bytes = bit ? set : [...bytes, ...set];
  }
  return bytes.map((byte) => ({ byte }));
}

/**
 * READ MEMORY LOCATION: bank in DTR1, location in DTR0, which moves on in a bank that the gear has (IEC 62386-102 9.10, from memory).
 * What stands in a bank is the lamp's own, but for what the lamp file says of the luminaire, and for banks that it has not.
 */
function readMemory(world: World, lamp: Lamp): Reaction {
  const { dtr0, dtr1, writeEnabled } = world.gear.registers;
  if (dtr0 === null || dtr1 === null)
    return { world: withRegisters(world, { dtr0: null }), answers: ['any'] };
  const named = lamp.links.dali?.banks;
  const banks = [0, ...(named ?? [])];
  if (!banks.includes(dtr1)) {
    // Banks of the maker need not stand in the lamp file, nor need bank 1 where it names none.
    const isOwn = (dtr1 >= 2 && dtr1 <= 199) || (dtr1 === 1 && named === undefined);
    if (isOwn) return { world: withRegisters(world, { dtr0: null }), answers: ['any'] };
    return { world, answers: ['silence'] };
  }
  const moved = withRegisters(world, { dtr0: Math.min(255, dtr0 + 1) });
  if (dtr0 === 255) return { world: moved, answers: ['silence'] };
  const told = writeEnabled === false ? luminaireByte(lamp, dtr1, dtr0) : null;
  if (told !== null) return { world: moved, answers: [{ byte: told }] };
  // The first and the last location of every bank are said; so is the last bank in bank 0.
  if (dtr0 === 0 || (dtr1 === 0 && dtr0 === 2)) return { world: moved, answers: ['some-byte'] };
  return { world: moved, answers: ['any'] };
}
