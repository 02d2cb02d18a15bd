import type { Lamp } from '../../bench/lamp.ts';
import type { Memory } from '../allowances.ts';
import { type Band, exactly } from '../band.ts';
import type { Gear, GearRegisters, GearSettings, Scene } from './gear.ts';
import { highest, levelOf, lightOf, mask } from './levels.ts';
import { locked } from './write-memory.ts';

const noScene: Scene = { level: mask, colour: null };
const noAddress = 0xff_ff_ff;

/** The lowest level that the lamp can give: that of the bottom of its curve. */
export function physicalMinimum(lamp: Lamp): number {
  return Math.min(highest, Math.max(1, Math.round(levelOf(lamp.curve.bottom))));
}

/** Settings after RESET (IEC 62386-102 table of variables, from memory); the short address stays. */
export function resetSettings(lamp: Lamp, shortAddress: number | null): GearSettings {
  return {
    shortAddress,
    groups: 0,
    min: physicalMinimum(lamp),
    max: highest,
    powerOnLevel: highest,
    systemFailureLevel: highest,
    fadeTime: 0,
    fadeRate: 7,
    extendedFadeTime: 0,
    scenes: Array.from({ length: 16 }, () => noScene),
    randomAddress: noAddress,
    coolest: null,
    warmest: null,
  };
}

/** Gear as it comes to the bench: address and group of the lamp file, and the rest as after RESET but for `memory`. */
export function newGear(lamp: Lamp, memory: Memory, level: Band): Gear {
  const dali = lamp.links.dali;
  const settings: GearSettings = {
    ...resetSettings(lamp, dali?.shortAddress ?? null),
    groups: dali?.group === undefined ? 0 : 1 << dali.group,
    powerOnLevel: memory.powerOnLevel,
    systemFailureLevel: memory.systemFailureLevel,
  };
  const lastActive = level.high > 0 ? level : exactly(lightOf(settings.max));
  return { settings, registers: { ...clearedRegisters(lastActive), powerCycleSeen: true } };
}

/** Registers after power-on. What was in the data transfer registers is gone, and the standard names no value (from memory). */
export function clearedRegisters(lastActive: Band): GearRegisters {
  return {
    dtr0: null,
    dtr1: null,
    dtr2: null,
    lastActive,
    limitError: false,
    powerCycleSeen: null,
    once: null,
    deviceType: null,
    sequenceUntil: Number.NEGATIVE_INFINITY,
    initialisedAt: null,
    withdrawn: false,
    search: noAddress,
    writeEnabled: false,
    lock: locked,
    colour: null,
    active: null,
    colourArrives: Number.NEGATIVE_INFINITY,
    busPowered: true,
    busDown: null,
    busyUntil: Number.NEGATIVE_INFINITY,
    identifyUntil: Number.NEGATIVE_INFINITY,
  };
}
