import { exactly } from '../band.ts';
import { levelNow } from '../light.ts';
import type { Moment, World } from '../world.ts';
import { fork, nothingKnown } from '../worlds.ts';
import { arrive, backWithinLimits } from './arc-power.ts';
import {
  gearLost,
  identifying,
  unknownRegister,
  withRegisters,
  withSettings,
} from './configure.ts';
import type { GearSettings, Scene } from './gear.ts';
import { highest, levelsWithin, lightOf, mask } from './levels.ts';
import { physicalMinimum, resetSettings } from './new-gear.ts';

/** After RESET the gear may be busy so long; IDENTIFY DEVICE takes 10 s (IEC 62386-102 9.11 and 9.14.3, from memory). s */
const resetTime = 0.3;
const identifyTime = 10.5;

/** A configuration command that counts, since it came twice (IEC 62386-102 11.4). Reserved ones change nothing. */
export function configure(world: World, code: number, moment: Moment): readonly World[] {
  if (code === 0x20) return reset(world, moment);
  if (code === 0x21) return storeActualLevel(world, moment);
  if (code === 0x25) return [identify(world, moment)];
  if (code === 0x81) return [withRegisters(world, { writeEnabled: true })];
  const [kind, number] = [code & 0xf0, code & 0x0f];
  if (kind === 0x50) return [withScene(world, number, { level: mask, colour: null }, moment)];
  if (kind === 0x60) return [withGroups(world, (groups) => groups | (1 << number), moment)];
  if (kind === 0x70) return [withGroups(world, (groups) => groups & ~(1 << number), moment)];
  const usesRegister = kind === 0x40 || code === 0x80 || (code >= 0x2a && code <= 0x30);
  if (!usesRegister) return [world];
  const { dtr0 } = world.gear.registers;
  if (dtr0 === null) {
    const unknown = gearLost(world, unknownRegister);
    const isLimit = code === 0x2a || code === 0x2b;
    return [isLimit ? nothingKnown(unknown, unknownRegister) : unknown];
  }
  return kind === 0x40 ? storeScene(world, number, dtr0, moment) : setBy(world, code, dtr0, moment);
}

function setBy(world: World, code: number, value: number, moment: Moment): readonly World[] {
  const set = (change: Partial<GearSettings>) => withSettings(world, change, moment);
  const { min, max } = world.gear.settings;
  switch (code) {
    case 0x2a:
      return backWithinLimits(
        set({ max: Math.max(min, Math.min(highest, value)) }),
        { min, max },
        moment,
      );
    case 0x2b:
      return backWithinLimits(
        set({ min: Math.min(max, Math.max(physicalMinimum(moment.lamp), value)) }),
        { min, max },
        moment,
      );
    case 0x2c:
      return [set({ systemFailureLevel: value })];
    case 0x2d:
      return [set({ powerOnLevel: value })];
    case 0x2e:
      return [set({ fadeTime: Math.min(15, value) })];
    case 0x2f:
      return [set({ fadeRate: Math.min(15, Math.max(1, value)) })];
    case 0x30:
      // 0YYYAAAA with Y up to 4; anything else is no extended fade time.
      return [set({ extendedFadeTime: value > 0x4f ? 0 : value })];
    default:
      return [setShortAddress(world, value, moment)];
  }
}

/** `0AAAAAA1` is an address, MASK is none; anything else changes nothing. */
export function setShortAddress(world: World, value: number, moment: Moment): World {
  if (value === mask) return withSettings(world, { shortAddress: null }, moment);
  const isAddress = value < 0x80 && (value & 1) === 1;
  return isAddress ? withSettings(world, { shortAddress: value >> 1 }, moment) : world;
}

function withGroups(world: World, change: (groups: number) => number, moment: Moment): World {
  return withSettings(world, { groups: change(world.gear.settings.groups) }, moment);
}

function withScene(world: World, number: number, scene: Scene, moment: Moment): World {
  const scenes = world.gear.settings.scenes.map((own, index) => (index === number ? scene : own));
  return withSettings(world, { scenes }, moment);
}

/** The waiting colour is stored with the level (IEC 62386-209, from memory), or waits on: the standard was not at hand. */
function storeScene(world: World, number: number, level: number, moment: Moment): readonly World[] {
  const { colour } = world.gear.registers;
  const plain = withScene(world, number, { level, colour: null }, moment);
  if (!colour) return [plain];
  const stored = withRegisters(world, { colour: null });
  return fork(
    'a colour waited as a scene was stored: it may be a part of the scene, or wait on',
    withScene(stored, number, { level, colour }, moment),
    plain,
  );
}

/** To the values of the standard, full light included; for 300 ms the gear need not listen. */
function reset(world: World, moment: Moment): readonly World[] {
  const { shortAddress } = world.gear.settings;
  const fresh = withSettings(world, resetSettings(moment.lamp, shortAddress), moment);
  const cleared = withRegisters(fresh, {
    colour: null,
    writeEnabled: false,
    lock: null,
    search: 0xff_ff_ff,
  });
  const full = arrive(cleared, { level: exactly(lightOf(highest)), over: 0 }, moment);
  return full.map((one) => withRegisters(one, { busyUntil: moment.at + resetTime }));
}

/** STORE ACTUAL LEVEL IN DTR0. */
function storeActualLevel(world: World, moment: Moment): readonly World[] {
  const levels = levelsWithin(levelNow(world, moment, moment.allowances.latency.dali));
  const stored = levels.map((level) => withRegisters(world, { dtr0: level }));
  return stored.length === 1
    ? stored
    : fork('the level was stored while it was not a whole one', ...stored);
}

/** How a gear shows itself is its own: by its light, or in another way. */
function identify(world: World, { at }: Moment): World {
  const shown = withRegisters(world, { identifyUntil: at + identifyTime });
  return { ...shown, lost: world.lost ?? identifying };
}
