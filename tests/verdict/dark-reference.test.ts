import { describe, expect, it } from 'vitest';
import { levelRatio } from '../../harness/measure/metrics/level/level-ratio.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { calibration, observe } from './assessed.ts';

/** 1 s in the dark at so many lx, then 1 s of 300 lx. */
const story = (dark: number) => ({
  ...observe([{ samples: Array.from({ length: 2000 }, (_, k) => (k < 1000 ? dark : 300)) }]),
  window: { from: 1, to: 2 },
  reference: { from: 0, to: 1 },
});

describe('a reference that is no more than the zero of its input may be off', () => {
  it('is said to be dark, in place of a ratio of millions of per cent', () => {
    const { outcome } = assess(levelRatio, story(1), [calibration({ standardOffset: 0.8 })], 2);
    expect(outcome).toMatchObject({ measured: false, reason: 'below-noise' });
    expect(outcome).toMatchObject({
      note: expect.stringMatching(
        /the reference was dark: it reads 1 lx, and its zero is known to ± 1.6 lx/,
      ),
    });
  });

  it('is light where the zero is known well enough', () => {
    const assessed = assess(levelRatio, story(1), [calibration({ standardOffset: 0.08 })], 2);
    expect(assessed.outcome.measured).toBe(true);
  });
});
