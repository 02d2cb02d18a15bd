import type { Lamp } from '../bench/lamp.ts';
import { commandTime } from './command-time.ts';
import type { Step } from './plan.ts';

/** A condition's stimulus laid out in time, as planned. Instants in s from the start of the condition. */
export interface Schedule {
  readonly actions: readonly Action[];
  readonly marks: readonly { readonly name: string; readonly at: number }[];
  readonly duration: number;
}

export interface Action {
  readonly at: number;
  readonly step: Exclude<Step, { verb: 'hold' | 'repeat' }>;
}

/**
 * Lays out steps one after another: `hold` and a waited-for `fade` take their time, everything else is an instant, but
 * for commands on a link that is slow for this lamp.
 */
export function schedule(steps: readonly Step[], lamp?: Lamp): Schedule {
  const actions: Action[] = [];
  let now = 0;
  const lay = (list: readonly Step[]): void => {
    for (const step of list) {
      if (step.verb === 'repeat') {
        for (let turn = 0; turn < step.times; turn++) lay(step.steps);
        continue;
      }
      if (step.verb !== 'hold') actions.push({ at: now, step });
      now += timeTaken(step) + commandTime(step, lamp);
    }
  };
  lay(steps);
  const marks = actions.flatMap(({ at, step }) =>
    step.verb === 'mark' ? [{ name: step.name, at }] : [],
  );
  return { actions, marks, duration: now };
}

/** Seconds until the next step. */
function timeTaken(step: Exclude<Step, { verb: 'repeat' }>): number {
  if (step.verb === 'hold') return step.time;
  if (step.verb === 'fade') return step.wait ? step.over : 0;
  if (step.verb === 'random') return step.commands * step.every;
  return 0;
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
