import { same } from '../same.ts';
import type { Moment, World } from '../world.ts';
import type { GearRegisters, GearSettings } from './gear.ts';

/** With other registers. */
export function withRegisters(world: World, change: Partial<GearRegisters>): World {
  const { gear } = world;
  return { ...world, gear: { ...gear, registers: { ...gear.registers, ...change } } };
}

/** With other settings, which take a while until they are stored. */
export function withSettings(world: World, change: Partial<GearSettings>, moment: Moment): World {
  const { gear, settingsBefore } = world;
  const settings = { ...gear.settings, ...change };
  if (same(settings, gear.settings)) return world;
  const { at, allowances } = moment;
  const old = at < settingsBefore.until ? settingsBefore.settings : gear.settings;
  return {
    ...world,
    gear: { ...gear, settings },
    settingsBefore: { settings: old, until: at + allowances.storing },
  };
}

/** Nothing is known of the gear any more. */
export function gearLost(world: World, why: string): World {
  return { ...world, gearLost: why };
}

export const unknownRegister =
  'a data transfer register was used whose content neither the standard nor the lamp file says';

export const identifying = 'the gear identifies itself, in whatever way';
