import type { Lamp } from '../bench/lamp.ts';
import { heldBy, type Step, verbOf } from './verbs/verbs.ts';

/** A condition's stimulus laid out in time, as planned. Instants in s from the start of the condition. */
export interface Schedule {
  readonly actions: readonly Action[];
  readonly marks: readonly { readonly name: string; readonly at: number }[];
  readonly duration: number;
}

/** A step to carry out at an instant. */
export interface Action {
  readonly at: number;
  readonly step: Step;
}

/** Lays out steps one after another, those that a step holds written out. */
export function schedule(steps: readonly Step[], lamp: Lamp): Schedule {
  const actions: Action[] = [];
  let now = 0;
  const lay = (list: readonly Step[]): void => {
    for (const step of list) {
      const verb = verbOf(step);
      if (verb.perform) actions.push({ at: now, step });
      const held = heldBy(step);
      for (let turn = 0; turn < (held?.times ?? 0); turn++) lay(held?.steps ?? []);
      now += verb.lasts(step, lamp);
    }
  };
  lay(steps);
  const marks = actions.flatMap(({ at, step }) => {
    const name = verbOf(step).mark?.(step);
    return name === undefined ? [] : [{ name, at }];
  });
  return { actions, marks, duration: now };
}

/** The window that a mark opens: to the next mark or the end. Without a name, all of it; null for an unknown name. */
export function markWindow(
  { marks, duration }: Pick<Schedule, 'marks' | 'duration'>,
  name: string | undefined,
): { readonly from: number; readonly to: number } | null {
  if (name === undefined) return { from: 0, to: duration };
  const index = marks.findIndex((mark) => mark.name === name);
  const mark = marks[index];
  return mark ? { from: mark.at, to: marks[index + 1]?.at ?? duration } : null;
}
