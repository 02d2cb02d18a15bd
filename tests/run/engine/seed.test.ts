import { describe, expect, it } from 'vitest';
import { seedOf } from '../../../harness/run/engine/seed.ts';

describe('seedOf', () => {
  it('gives the same seed for the same words', () => {
    expect(seedOf(7, 'fades-on-time', 'fade-time=2 s', 0)).toBe(
      seedOf(7, 'fades-on-time', 'fade-time=2 s', 0),
    );
  });

  it('keeps words apart that read the same when joined', () => {
    expect(seedOf(1, 'ab', 'c')).not.toBe(seedOf(1, 'a', 'bc'));
  });

  it('hardly ever gives two conditions one seed', () => {
    const seeds = new Set<number>();
    for (let run = 0; run < 50; run++) {
      for (let repeat = 0; repeat < 200; repeat++)
        seeds.add(seedOf(run, 'spec', `level=${repeat} %`, repeat));
    }
    // 10,000 draws of 2^32: 0.012 clashes expected (birthday bound, computed).
    expect(seeds.size).toBeGreaterThanOrEqual(9_999);
  });
});
