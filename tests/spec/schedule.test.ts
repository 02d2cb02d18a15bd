import { describe, expect, it } from 'vitest';
import type { Step } from '../../harness/spec/plan.ts';
import { schedule, windowOf } from '../../harness/spec/schedule.ts';

const steps: Step[] = [
  { verb: 'set', level: 1 },
  { verb: 'hold', time: 0.3 },
  { verb: 'mark', name: 'fading' },
  { verb: 'fade', level: 0.1, over: 2, wait: true },
  { verb: 'mark', name: 'after' },
  { verb: 'fade', level: 1, over: 5, wait: false },
  { verb: 'repeat', times: 3, steps: [{ verb: 'reset' }, { verb: 'hold', time: 0.5 }] },
  { verb: 'random', commands: 10, every: 0.01 },
];

describe('schedule', () => {
  it('gives time to holds, waited-for fades, repeats and storms, and none to the rest', () => {
    const { actions, duration } = schedule(steps);
    expect(duration).toBeCloseTo(0.3 + 2 + 3 * 0.5 + 0.1, 12);
    expect(actions.map(({ at, step }) => [step.verb, Number(at.toFixed(6))])).toEqual([
      ['set', 0],
      ['mark', 0.3],
      ['fade', 0.3],
      ['mark', 2.3],
      ['fade', 2.3],
      ['reset', 2.3],
      ['reset', 2.8],
      ['reset', 3.3],
      ['random', 3.8],
    ]);
  });

  it('leaves the frames of noise on DALI their time, 37.5 ms for three bytes', () => {
    const noise = (link: string): Step => ({ verb: 'noise', link, bytes: 4 });
    expect(schedule([noise('dali')]).duration).toBeCloseTo(0.075, 12);
    expect(schedule([noise('console')]).duration).toBe(0);
  });

  it('lets a mark open a window that lasts to the next mark or the end', () => {
    const plan = schedule(steps);
    expect(windowOf(plan, 'fading')).toEqual({ from: 0.3, to: 2.3 });
    expect(windowOf(plan, 'after')).toEqual({ from: 2.3, to: plan.duration });
    expect(windowOf(plan, undefined)).toEqual({ from: 0, to: plan.duration });
    expect(windowOf(plan, 'nowhere')).toBeNull();
  });
});
