import type { Condition, Step } from './plan.ts';

/** Lamp time of one condition as planned, s: holds, waited-for fades, storms, each as often as it is repeated. */
export function estimatedDuration(condition: Pick<Condition, 'stimulus'>): number {
  return totals(condition.stimulus).seconds;
}

/** Steps that will be carried out, and the time that they take, without writing them out. */
export function totals(steps: readonly Step[]): {
  readonly steps: number;
  readonly seconds: number;
} {
  let count = 0;
  let seconds = 0;
  for (const step of steps) {
    if (step.verb === 'repeat') {
      const inner = totals(step.steps);
      count += inner.steps * step.times;
      seconds += inner.seconds * step.times;
      continue;
    }
    count += step.verb === 'random' ? step.commands : 1;
    if (step.verb === 'hold') seconds += step.time;
    if (step.verb === 'fade' && step.wait) seconds += step.over;
    if (step.verb === 'random') seconds += step.commands * step.every;
  }
  return { steps: count, seconds };
}
