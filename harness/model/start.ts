import type { Lamp } from '../bench/lamp.ts';
import type { Allowances, Memory } from './allowances.ts';
import { type Band, exactly, product } from './band.ts';
import { still } from './course.ts';
import { highest, mask } from './dali/levels.ts';
import { newGear } from './dali/new-gear.ts';
import { noSources } from './slots/sacn-memory.ts';
import { noFrames } from './slots/slot-memory.ts';
import type { World } from './world.ts';
import { fork } from './worlds.ts';

/** Where the lamp file does not say how the lamp left its maker. */
const notSaid = 'the lamp file does not say how the lamp was delivered (as-delivered)';
/** What gear leaves its maker with: no change, or full light (IEC 62386-102, table of variables, from memory). */
const usualLevels = [mask, highest];

/** The lamp as the story begins: powered, started, and as its memory says. Several where nobody knows. */
export function firstWorlds(lamp: Lamp, { memory }: Allowances): readonly World[] {
  if (memory) return [worldOf(lamp, memory)];
  const anything = { low: 0, high: 1 };
  const worlds = usualLevels.flatMap((powerOnLevel) =>
    usualLevels.map((systemFailureLevel) =>
      worldOf(lamp, { level: 1, powerOnLevel, systemFailureLevel }, anything),
    ),
  );
  return fork(notSaid, ...worlds);
}

function worldOf(lamp: Lamp, memory: Memory, open: Band | null = null): World {
  const level = open ?? exactly(memory.level);
  const mix = lamp.channels.map(
    ({ channel }) => open ?? exactly(memory.mix ? (memory.mix[channel] ?? 0) : 1),
  );
  const gear = newGear(lamp, memory, level);
  const remembered = { level, mix, at: Number.NEGATIVE_INFINITY };
  return {
    light: {
      lead: -1,
      from: Number.NEGATIVE_INFINITY,
      over: 0,
      shape: 'geometric',
      latency: 0,
      dilation: 0,
      level: still(level),
      channels: mix.map((own) => still(product(level, own))),
      onBus: true,
      why: open && notSaid,
    },
    mix,
    mixOnWay: null,
    remembered,
    before: remembered,
    gear,
    settingsBefore: { settings: gear.settings, until: Number.NEGATIVE_INFINITY },
    beforeFailure: null,
    slots: noFrames,
    sacn: noSources,
    power: {
      volts: lamp.supply.nominal,
      lostAt: null,
      deafUntil: Number.NEGATIVE_INFINITY,
      interrupted: null,
    },
    repeatsCount: null,
    shortFrames: null,
    consoleRest: '',
    strain: null,
    heat: null,
    lost: null,
    gearLost: null,
    altered: null,
    doubt: null,
  };
}
