import type { Lamp } from '../bench/lamp.ts';
import { heldBy, type Step, verbOf } from './verbs/verbs.ts';

/** How many steps a stimulus comes to, and its lamp time in s, without writing out what is repeated. */
export function stimulusTotals(
  stimulus: readonly Step[],
  lamp: Lamp,
): { readonly steps: number; readonly seconds: number } {
  let steps = 0;
  let seconds = 0;
  for (const step of stimulus) {
    const held = heldBy(step);
    const verb = verbOf(step);
    const inner = held && stimulusTotals(held.steps, lamp);
    steps += inner ? inner.steps * held.times : (verb.commands?.(step) ?? 1);
    seconds += verb.lasts(step, lamp) + (inner ? inner.seconds * held.times : 0);
  }
  return { steps, seconds };
}
