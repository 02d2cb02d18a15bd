import { describe, expect, it } from 'vitest';
import { markWindow, schedule } from '../../harness/plan/schedule.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');

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
    const { actions, duration } = schedule(steps, lamp);
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

  it('leaves noise its time: 40 ms for three bytes on DALI, and what a console says to it', () => {
    const noise = (link: string): Step => ({ verb: 'noise', link, bytes: 4 });
    expect(schedule([noise('dali')], lamp).duration).toBeCloseTo(0.08, 12);
    expect(schedule([noise('console')], lamp).duration).toBeCloseTo(40 / 115200 + 0.3, 12);
    expect(schedule([noise('dmx')], lamp).duration).toBe(0);
  });

  it('lets a mark open a window that lasts to the next mark or the end', () => {
    const plan = schedule(steps, lamp);
    expect(markWindow(plan, 'fading')).toEqual({ from: 0.3, to: 2.3 });
    expect(markWindow(plan, 'after')).toEqual({ from: 2.3, to: plan.duration });
    expect(markWindow(plan, undefined)).toEqual({ from: 0, to: plan.duration });
    expect(markWindow(plan, 'nowhere')).toBeNull();
  });
});
