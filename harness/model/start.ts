import type { Lamp } from '../bench/lamp.ts';
import type { Allowances, Memory } from './allowances.ts';
import { exactly, product } from './band.ts';
import { still } from './course.ts';
import { highest, mask } from './dali/levels.ts';
import { newGear } from './dali/new-gear.ts';
import { noSources } from './slots/sacn-memory.ts';
import { noFrames } from './slots/slot-memory.ts';
import { noShortFrames, type World } from './world.ts';
import { fork } from './worlds.ts';

/** Where the lamp file does not say how the lamp left its maker. */
const notSaid = 'the lamp file does not say how the lamp was delivered (as-delivered)';
/** What gear leaves its maker with: no change, or full light (IEC 62386-102, table of variables, from memory). */
const usualLevels = [mask, highest];

/**
 * The lamp as the story begins: powered, started, and as its memory says. Where nobody says it is taken for dark with every channel at full,
 * and what it does when power or bus fail stays open.
 */
export function firstWorlds(lamp: Lamp, { memory }: Allowances): readonly World[] {
  if (memory) return [worldOf(lamp, memory)];
  const worlds = usualLevels.flatMap((powerOnLevel) =>
    usualLevels.map((systemFailureLevel) =>
      worldOf(lamp, { level: 0, powerOnLevel, systemFailureLevel }),
    ),
  );
  return fork(notSaid, ...worlds);
}

function worldOf(lamp: Lamp, memory: Memory): World {
  const level = exactly(memory.level);
  const mix = lamp.channels.map(({ channel }) =>
    exactly(memory.mix ? (memory.mix[channel] ?? 0) : 1),
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
      glide: null,
      replaces: [],
      why: null,
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
    retold: null,
    shortFrames: noShortFrames,
    pendingLoss: null,
    consoleRest: '',
    strain: null,
    heat: null,
    lost: null,
    gearLost: null,
    streamsLost: null,
    altered: null,
    doubt: null,
  };
}
