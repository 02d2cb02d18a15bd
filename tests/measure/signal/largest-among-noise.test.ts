import { describe, expect, it } from 'vitest';
import { largestAmongNoise } from '../../../harness/measure/signal/largest-among-noise.ts';
import { deviates } from '../light-of.ts';

describe('the largest of many noisy values', () => {
  it.each([0, 1, 3, 8])(
    'holds the truth, %f rms above the others, in 93 % of cases or more',
    (truth) => {
      const next = deviates(5);
      let inside = 0;
      for (let run = 0; run < 400; run++) {
        let largest = truth + next();
        for (let place = 1; place < 500; place++) largest = Math.max(largest, next());
        const { value, standard } = largestAmongNoise(largest, 1, 500);
        if (Math.abs(value - truth) <= 2 * standard) inside++;
      }
      expect(inside / 400).toBeGreaterThan(0.93);
    },
  );
});
