import type { Lamp } from '../bench/lamp.ts';
import type { Allowances } from './allowances.ts';
import { exactly, product } from './band.ts';
import { still } from './course.ts';
import { newGear } from './dali/new-gear.ts';
import { noSources } from './slots/sacn-memory.ts';
import { noFrames } from './slots/slot-memory.ts';
import type { World } from './world.ts';

/** The lamp as the story begins: powered, started, and as its memory says. */
export function firstWorld(lamp: Lamp, { memory }: Allowances): World {
  const level = exactly(memory.level);
  const mix = lamp.channels.map(({ channel }) =>
    exactly(memory.mix ? (memory.mix[channel] ?? 0) : 1),
  );
  const gear = newGear(lamp, memory);
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
