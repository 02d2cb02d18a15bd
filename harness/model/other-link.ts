import { type Band, hull } from './band.ts';
import { withRegisters } from './dali/configure.ts';
import type { World } from './world.ts';

/** What the gear's registers may say after another link has moved the light. */
export function noteOtherLink(
  world: World,
  { level, why }: { readonly level: Band; readonly why: string | null },
): World {
  const { registers } = world.gear;
  return withRegisters(world, {
    active: null,
    limitError: registers.limitError === false && why === null ? false : null,
    powerCycleSeen: registers.powerCycleSeen === false ? false : null,
    lastActive: level.high > 0 ? hull(registers.lastActive, level) : registers.lastActive,
  });
}
