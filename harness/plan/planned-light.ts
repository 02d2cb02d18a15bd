import type { Lamp } from '../bench/lamp.ts';
import { CommandedLight } from './commanded.ts';
import type { Schedule } from './schedule.ts';
import { verbOf } from './verbs/verbs.ts';

/** The light that a schedule commands, as planned: without what is only known once it is carried out. */
export function plannedLight({ actions }: Schedule, lamp: Lamp): CommandedLight {
  const light = new CommandedLight(lamp);
  for (const { at, step } of actions) verbOf(step).command?.(step, light, at);
  return light;
}
