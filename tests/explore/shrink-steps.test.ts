import { describe, expect, it } from 'vitest';
import { shrinkSteps } from '../../harness/explore/shrink-steps.ts';
import type { WrittenStep } from '../../harness/plan/verbs/verb.ts';

const noise = (count: number): WrittenStep[] =>
  Array.from({ length: count }, (_, index) => ({ send: { dali: 'dtr0', value: index } }));
const guilty: WrittenStep = { send: { dali: 'level', value: 77, to: 'group' } };

describe('making a sequence small', () => {
  it('leaves out all that is not needed, wherever it stands', async () => {
    const steps = [...noise(9), { hold: '417 ms' }, guilty, ...noise(7)];
    const small = await shrinkSteps(
      steps,
      async (some) => some.some((step) => JSON.stringify(step).includes('"group"')),
      500,
    );
    expect(small).toHaveLength(1);
  });

  it('keeps steps that only do it together, and in their order', async () => {
    const first: WrittenStep = { set: { level: '10 %', link: 'dmx' } };
    const steps = [...noise(4), first, ...noise(5), guilty, ...noise(3)];
    const small = await shrinkSteps(
      steps,
      async (some) => {
        const one = some.findIndex((step) => 'set' in step);
        const other = some.findIndex((step) => JSON.stringify(step).includes('group'));
        return one >= 0 && other > one;
      },
      500,
    );
    expect(small.map((step) => Object.keys(step)[0])).toEqual(['set', 'send']);
  });

  it('makes figures plain, as long as it still does it', async () => {
    const steps: WrittenStep[] = [
      { fade: { level: '37.21 %', over: '2718 ms', wait: false, link: 'dali' } },
      { hold: '417 ms' },
    ];
    const small = await shrinkSteps(steps, async (some) => some.length === 2, 500);
    expect(small).toEqual([
      { fade: { level: '100 %', over: '1 s', link: 'dali' } },
      { hold: '1 ms' },
    ]);
  });

  it('asks no more often than it may', async () => {
    let asked = 0;
    await shrinkSteps(
      noise(30),
      async () => {
        asked++;
        return false;
      },
      12,
    );
    expect(asked).toBe(12);
  });
});
