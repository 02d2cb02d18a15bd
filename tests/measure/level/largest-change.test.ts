import { describe, expect, it } from 'vitest';
import { largestChange } from '../../../harness/measure/features/level/largest-change.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';

type Averages = Parameters<typeof largestChange>[0];

/** The change of `count` averages relative to one, which differ by `noise` in pairs: all second differences over two are 2 · noise. */
function changeOf(count: number, noise: number, level: (k: number) => number) {
  const values = Float64Array.from(
    { length: count },
    (_, k) => level(k) + (k % 4 === 1 || k % 4 === 2 ? noise : 0),
  );
  return largestChange({ values, mean: 1 } as unknown as Averages);
}

/** Standard deviation of an average by second differences of that size, as normal noise has it. */
const scatterBy = (difference: number) => difference / 0.6745 / Math.sqrt(6);

describe('the largest change between stretches (by hand)', () => {
  it('of a single average is told against the scatter of single ones', () => {
    const { sure, noise } = changeOf(40, 0.01, (k) => (k === 20 ? 11 : 9));
    const single = scatterBy(0.02);
    expect(sure).toBeCloseTo(2 - 2 * largestOfNormals(40) * single, 9);
    expect(noise).toBeCloseTo(single * (Math.SQRT2 + largestOfNormals(40)), 9);
  });

  it('of fewer than ten stretches is told against white noise, as they do not show their own', () => {
    const { sure } = changeOf(20, 0.1, (k) => (k < 8 ? 9 : 11));
    // Five stretches of four averages: 1.6 / 4 of the variance.
    const white = scatterBy(0.2) * Math.sqrt(1.6 / 4);
    expect(sure).toBeCloseTo(2 - 2 * largestOfNormals(5) * white, 9);
  });

  it('of ten stretches or more is told against their own scatter', () => {
    // Ten stretches of eight go 0 1 1 0 0 1 1 0 0 1, so all second differences over two are 2; longer ones are all alike.
    const { sure, ends } = changeOf(80, 0.2, (k) => ((k + 8) % 32 < 16 ? 9 : 10));
    expect([sure, ends]).toEqual([0, 0]);
  });

  it('is none within 2 √2 of the scatter', () => {
    // 7.7 - 2 · 2.16 · 1.21 is 2.5, between √2 and 2 √2 times 1.21.
    const { sure, ends } = changeOf(40, 1, (k) => (k === 20 ? 16.7 : 9));
    expect([sure, ends]).toEqual([0, 0]);
  });
});
