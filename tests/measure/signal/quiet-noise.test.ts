import { describe, expect, it } from 'vitest';
import { quietNoise } from '../../../harness/measure/analysis/noise.ts';
import { deviates } from '../../../harness/measure/signal/deviates.ts';

/** White noise of 1 lx rms about `level`, rounded to whole steps. */
function noisy(length: number, seed: number, step: number, level: number) {
  const samples = deviates(length, seed, 0).map((deviate) =>
    step > 0 ? Math.round((level + deviate) / step) * step : level + deviate,
  );
  return { samples, rate: 2000, start: 0, unit: 'lx', clipped: 0, ...(step > 0 && { step }) };
}

describe('white noise where a record is quietest', () => {
  // Half of the differences are beyond 0.95 lx: 238, 318 and 9,500 steps of the finest three.
  it.each([0, 0.0001, 0.003, 0.004, 0.2, 0.5, 1, 1.5, 2])(
    'is found with steps of %s lx, wherever the level lies between them',
    (step) => {
      const found = Array.from({ length: 50 }, (_, run) =>
        quietNoise(noisy(4000, 3 + 7 * run, step, 1000 + 0.137 * run)),
      );
      const truth = Math.sqrt(1 + step ** 2 / 12);
      const mean = found.reduce((sum, each) => sum + each, 0) / found.length;
      expect(mean / truth).toBeGreaterThan(0.92);
      expect(mean / truth).toBeLessThan(1.08);
      // Nor does it jump by whole steps with the level's place between two of them.
      for (const each of found) expect(Math.abs(each / truth - 1)).toBeLessThan(0.25);
    },
  );

  it('is that of the tenth of the record that nothing else disturbs', () => {
    const record = noisy(6400, 5, 0.5, 1000);
    const samples = record.samples.map((value, k) =>
      k % 640 < 128 ? value : value + 40 * (k % 2),
    );
    expect(quietNoise({ ...record, samples })).toBeGreaterThan(0.8);
    expect(quietNoise({ ...record, samples })).toBeLessThan(1.4);
  });

  it('is nought where rounding has swallowed it, or where there is none', () => {
    const { samples, ...rest } = noisy(4000, 5, 0, 0);
    const still = samples.map(() => 1000);
    const swallowed = samples.map((deviate) => Math.round(1000 + deviate / 40));
    expect(quietNoise({ ...rest, samples: still })).toBe(0);
    expect(quietNoise({ ...rest, samples: still, step: 1 })).toBe(0);
    expect(quietNoise({ ...rest, samples: swallowed, step: 1 })).toBe(0);
  });
});
