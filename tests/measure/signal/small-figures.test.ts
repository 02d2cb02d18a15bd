import { describe, expect, it } from 'vitest';
import { driftAlong } from '../../../harness/measure/signal/drift-along.ts';
import { edges } from '../../../harness/measure/signal/edges.ts';
import { exceedance } from '../../../harness/measure/signal/exceedance.ts';
import { looksClipped } from '../../../harness/measure/signal/flat-tops.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { lruCache } from '../../../harness/measure/signal/lru-cache.ts';
import { noiseLevel, sixthDifferenceNoise } from '../../../harness/measure/signal/noise-level.ts';
import { normalQuantile } from '../../../harness/measure/signal/normal-quantile.ts';
import { normalWithin } from '../../../harness/measure/signal/normal-within.ts';
import { endsOf, neighbours, zip } from '../../../harness/measure/signal/pairs.ts';
import { pulseLevels } from '../../../harness/measure/signal/pulse-levels.ts';
import { scatterOfMean } from '../../../harness/measure/signal/scatter-of-mean.ts';
import { slidingMedian } from '../../../harness/measure/signal/sliding-median.ts';
import { statistics } from '../../../harness/measure/signal/statistics.ts';

const of = (...values: number[]) => Float64Array.from(values);

describe('normal distribution', () => {
  // Percentage points as every table has them.
  it.each([
    [0.5, 0],
    [0.75, 0.67449],
    [0.9, 1.28155],
    [0.975, 1.95996],
    [0.99865, 3],
    [0.999, 3.09023],
    [0.025, -1.95996],
    [0.1, -1.28155],
  ])('the quantile at %s is %s', (p, expected) => {
    expect(Math.abs(normalQuantile(p) - expected)).toBeLessThan(4.6e-4);
  });

  it.each([
    [0, 0],
    [0.5, 0.3829249],
    [1, 0.6826895],
    [2, 0.9544997],
    [3, 0.9973002],
  ])('within ± %s lies the part %s', (sides, expected) => {
    expect(Math.abs(normalWithin(sides) - expected)).toBeLessThan(2e-7);
  });

  // Expected largest of n normals (Harter 1961, from memory); Blom’s formula is within 0.026 of them, and closer for many.
  it.each([
    [0, 0],
    [1, 0],
    [2, 0.5642],
    [3, 0.8463],
    [5, 1.163],
    [10, 1.5388],
    [100, 2.5076],
  ])('the largest of %s is expected at %s', (n, expected) => {
    expect(Math.abs(largestOfNormals(n) - expected)).toBeLessThan(n > 5 ? 0.009 : 0.026);
  });
});

describe('edges', () => {
  const of4 = (samples: Float64Array, level = 0, hysteresis = 0) =>
    edges({ samples, rate: 2, start: 10 }, level, hysteresis).map(({ at, rising, index }) => [
      at,
      rising,
      index,
    ]);

  it('lie where the straight line between two samples’ middles meets the level', () => {
    // From -1 to 3: a quarter of the way, between the middles of samples 1 and 2.
    expect(of4(of(-1, -1, 3, 3, -1))).toEqual([
      [10 + 1.75 / 2, true, 2],
      [10 + 4.25 / 2, false, 4],
    ]);
    expect(of4(of(-1, 3), 1)).toEqual([[10.5, true, 1]]);
  });

  it('are none where the waveform begins, nor at a level that it never leaves', () => {
    expect(of4(of(3, 3, 3))).toEqual([]);
    expect(of4(of(0, 0, 0))).toEqual([]);
    expect(of4(of())).toEqual([]);
    expect(of4(of(5))).toEqual([]);
  });

  it('are sure only beyond the hysteresis, and then lie at the last crossing before', () => {
    expect(of4(of(-2, 1, -1, 1, 2), 0, 1)).toEqual([[10 + 3 / 2, true, 3]]);
    expect(of4(of(-2, 1, 1, 1), 0, 1)).toEqual([]);
    expect(of4(of(-1, 2), 0, 1)).toEqual([]);
    expect(of4(of(2, -1, 1, -1, -2, -1, -2), 0, 1)).toEqual([[10 + 3 / 2, false, 3]]);
    expect(of4(of(2, -1, -1), 0, 1)).toEqual([]);
  });

  it('at the level itself the sample counts as below', () => {
    expect(of4(of(-1, 0, 1))).toEqual([[10 + 1.5 / 2, true, 2]]);
    expect(of4(of(1, 0, -1))).toEqual([[10 + 1.5 / 2, false, 1]]);
  });
});

describe('levels exceeded', () => {
  it('lie between the sorted values by straight line', () => {
    const level = exceedance(of(4, 1, 3, 2, 0));
    expect([0, 0.25, 0.5, 0.75, 1].map(level)).toEqual([4, 3, 2, 1, 0]);
    expect(level(0.4)).toBeCloseTo(2.4, 12);
    expect(level(0.99)).toBeCloseTo(0.04, 12);
    expect([level(-1), level(2)]).toEqual([4, 0]);
    expect(exceedance(of(7))(0.3)).toBe(7);
  });
});

describe('statistics of a record', () => {
  it('the mean, and the first of equal extremes', () => {
    expect(statistics(of(2, 5, -1, 5, -1, 2))).toEqual({
      ...{ mean: 2, lowest: -1, highest: 5, lowestAt: 2, highestAt: 1, notFiniteAt: -1 },
    });
    expect(statistics(of(3))).toMatchObject({ mean: 3, lowest: 3, highest: 3, highestAt: 0 });
  });

  it('names the first sample that is no number', () => {
    expect(statistics(of(1, Number.NaN, 2)).notFiniteAt).toBe(1);
    expect(statistics(of(1, 2, -Infinity, Number.NaN)).notFiniteAt).toBe(2);
    expect(statistics(of())).toMatchObject({ mean: Number.NaN, lowestAt: -1, highestAt: -1 });
  });
});

describe('means of ten parts', () => {
  /** Parts of two samples each, a sample left over. */
  const parts = (mean: (part: number) => number) =>
    Float64Array.from({ length: 21 }, (_, k) =>
      k < 20 ? mean(k >> 1) + (k % 2 ? 0.5 : -0.5) : 1e6,
    );

  it('scatter: the standard uncertainty of the mean is s/√10', () => {
    // Means 0 … 9: variance 82.5/9.
    expect(scatterOfMean(parts((part) => part))).toBeCloseTo(Math.sqrt(82.5 / 9 / 10), 12);
    expect(scatterOfMean(parts((part) => 5 + 3 * part))).toBeCloseTo(3 * Math.sqrt(82.5 / 90), 12);
    expect(scatterOfMean(parts(() => 4))).toBe(0);
  });

  it('along a line: the drift is ten times the slope from part to part, and certain', () => {
    const { drift, standard } = driftAlong(parts((part) => 7 - 0.3 * part));
    expect(drift).toBeCloseTo(-3, 12);
    expect(standard).toBeCloseTo(0, 12);
  });

  it('about a line: the uncertainty is that of a slope', () => {
    // Residuals +1, -1 from part to part, without what of them is a slope: Σ place·residual = -0.5, Σ place² = 0.825.
    const { drift, standard } = driftAlong(parts((part) => (part % 2 ? -1 : 1)));
    expect(drift).toBeCloseTo(-0.5 / 0.825, 12);
    expect(standard).toBeCloseTo(Math.sqrt((10 - 0.25 / 0.825) / 8 / 0.825), 12);
  });
});

describe('flat tops', () => {
  /** A triangle from 0 to 10 that a limiter cuts at `limit`. */
  const triangle = (length: number, limit: number, floor = 0) =>
    Float64Array.from({ length }, (_, k) =>
      Math.max(floor, Math.min(limit, Math.abs(((k + 3.3) % 20) - 10))),
    );

  it('are seen at the top and at the bottom, from two flats of three samples on', () => {
    expect(looksClipped(triangle(80, 8))).toBe(true);
    expect(looksClipped(triangle(80, 20, 2))).toBe(true);
    expect(looksClipped(triangle(80, 20))).toBe(false);
    // A whole period holds one flat.
    expect(looksClipped(triangle(22, 8))).toBe(false);
    expect(looksClipped(triangle(42, 8))).toBe(true);
  });

  it('are none of two samples', () => {
    const pairs = Float64Array.from(
      { length: 80 },
      (_, k) => [1, 2, 3, 9, 9, 4, 2.5, 1.5][k % 8] ?? 0,
    );
    expect(looksClipped(pairs)).toBe(false);
    const threes = Float64Array.from(
      { length: 80 },
      (_, k) => [1, 2, 3, 9, 9, 9, 2.5, 1.5][k % 8] ?? 0,
    );
    expect(looksClipped(threes)).toBe(true);
  });

  it('bear one sample in twenty that stands still elsewhere, the first two as well', () => {
    const threes = [1, 2, 3, 9, 9, 9, 2.5, 1.5];
    const record = (stills: readonly number[]) =>
      Float64Array.from(
        { length: 80 },
        (_, k) => threes[(stills.includes(k) ? k - 1 : k) % 8] ?? 0,
      );
    // 40 of 80 samples lie off the extremes (1 and 9): two may stand still.
    expect(looksClipped(record([2, 10]))).toBe(true);
    expect(looksClipped(record([2, 10, 18]))).toBe(false);
    const first = Float64Array.of(2, 2, ...record([10, 18]).subarray(2));
    expect(looksClipped(first)).toBe(false);
  });

  it('say nothing where the record stands still elsewhere, or has two levels only', () => {
    const still = Float64Array.from(
      { length: 80 },
      (_, k) => [1, 2, 2, 9, 9, 9, 2.5, 1.5][k % 8] ?? 0,
    );
    expect(looksClipped(still)).toBe(false);
    const pulses = Float64Array.from({ length: 80 }, (_, k) => (k % 8 < 4 ? 0 : 9));
    expect(looksClipped(pulses)).toBe(false);
    // Half of the samples lie off the extremes, and then fewer.
    const half = Float64Array.from({ length: 80 }, (_, k) => [0, 9, 9, 9, 1, 2, 3, 4][k % 8] ?? 0);
    expect(looksClipped(half)).toBe(true);
    // One of the forty less.
    expect(looksClipped(half.with(4, 9))).toBe(false);
    const fewer = Float64Array.from({ length: 80 }, (_, k) => [0, 9, 9, 9, 9, 2, 3, 4][k % 8] ?? 0);
    expect(looksClipped(fewer)).toBe(false);
  });
});

describe('noise by sixth differences', () => {
  it('is nothing for a polynomial of the fifth degree, and for too few samples', () => {
    const quintic = Float64Array.from({ length: 40 }, (_, k) => (k / 10 - 2) ** 5 - (k / 10) ** 2);
    expect(sixthDifferenceNoise(quintic)).toBeLessThan(1e-9);
    expect(sixthDifferenceNoise(of(1, 9, 1, 9, 1, 9))).toBe(0);
  });

  it('of samples that alternate by ± 1 is 64/(0.67449 √924)', () => {
    // Σ|weights| = 64 = 2⁶.
    const expected = 64 / (0.67449 * Math.sqrt(924));
    for (const length of [7, 8, 100, 40_000])
      expect(
        sixthDifferenceNoise(Float64Array.from({ length }, (_, k) => (k % 2 ? 1 : -1))),
      ).toBeCloseTo(expected, 9);
  });

  it('is the median: a disturbance of less than half of the differences does not reach it', () => {
    const samples = new Float64Array(29);
    samples[10] = 1000;
    expect(sixthDifferenceNoise(samples)).toBe(0);
  });

  it('counts only as far as the floor of the spectrum does not say less', () => {
    const samples = Float64Array.from({ length: 50 }, (_, k) => (k % 2 ? 1 : -1));
    const floor = { levels: of(), ends: Int32Array.of(), rms: 0.5 };
    expect(noiseLevel(samples, floor)).toBe(0.5);
    expect(noiseLevel(samples, { ...floor, rms: 100 })).toBeCloseTo(
      64 / (0.67449 * Math.sqrt(924)),
      9,
    );
  });
});

describe('levels of a pulse train', () => {
  it('are the medians on either side of the middle, whatever overshoots', () => {
    const samples = of(0, 0, 0, 10, 10, 10, 14, 0, 1, 0, 10, 10, 0, 10);
    expect(pulseLevels(samples, 0.1)).toEqual({ low: 0, high: 10, middle: 5 });
  });

  it('are none where all lies within six times the noise, or nothing moves', () => {
    const samples = of(0, 6, 0, 6);
    expect(pulseLevels(samples, 1)).toBe(null);
    expect(pulseLevels(samples, 0.99)).toEqual({ low: 0, high: 6, middle: 3 });
    expect(pulseLevels(of(4, 4, 4), 0)).toBe(null);
    expect(pulseLevels(of(4), 0)).toBe(null);
    expect(pulseLevels(of(), 0)).toBe(null);
    expect(pulseLevels(of(4, 5), 0)).toEqual({ low: 4, high: 5, middle: 4.5 });
  });

  it('are found anew about the middle of the medians', () => {
    // The spike puts the first middle at 50: only it lies above. Then at 55.5 it is the upper level.
    expect(pulseLevels(of(0, 0, 11, 11, 11, 100), 0)).toEqual({ low: 11, high: 100, middle: 55.5 });
    // First middle 10 (0 … 20): medians 1 and 15; second 8: 9 moves over to the upper ones.
    expect(pulseLevels(of(0, 1, 1, 9, 15, 15, 20), 0)).toEqual({ low: 1, high: 15, middle: 8 });
  });
});

describe('sliding median', () => {
  it('takes as many values on either side as the ends allow', () => {
    // By hand: 9; {9,1,8} 8; {9,1,8,2,7} 7; {1,8,2,7,3} 3; {8,2,7,3,6} 6; {7,3,6} 6; hence the last is 6.
    expect([...slidingMedian(of(9, 1, 8, 2, 7, 3, 6), 2)]).toEqual([9, 8, 7, 3, 6, 6, 6]);
    expect([...slidingMedian(of(9, 1, 8), 0)]).toEqual([9, 1, 8]);
    expect([...slidingMedian(of(), 2)]).toEqual([]);
  });

  it('drops a spike, and keeps an edge', () => {
    expect([...slidingMedian(of(1, 1, 1, 50, 1, 1, 9, 9, 9, 9), 2)]).toEqual([
      ...[1, 1, 1, 1, 1, 9, 9, 9, 9, 9],
    ]);
  });
});

describe('cache of the latest results', () => {
  it('computes once for the same arguments, and forgets the least recently used', () => {
    const computed: string[] = [];
    const cached = lruCache(2, (a: number, b: string) => {
      computed.push(`${a}${b}`);
      return { a, b };
    });
    const first = cached(1, 'a');
    expect(cached(1, 'a')).toBe(first);
    cached(1, 'b');
    cached(1, 'a');
    cached(2, 'a');
    expect(cached(1, 'a')).toBe(first);
    cached(1, 'b');
    expect(computed).toEqual(['1a', '1b', '2a', '1b']);
    expect(cached(Number.NaN, 'a')).toBe(cached(Number.NaN, 'a'));
  });
});

describe('pairs', () => {
  it('of neighbours, of two lists, and of the ends', () => {
    expect(neighbours([1, 2, 3])).toEqual([
      [1, 2],
      [2, 3],
    ]);
    expect(neighbours([1])).toEqual([]);
    expect(zip([1, 2, 3], 'ab')).toEqual([
      [1, 'a'],
      [2, 'b'],
    ]);
    const [one, two] = [{}, {}];
    expect(endsOf([one, {}, two])).toEqual([one, two]);
    expect(endsOf([one])?.[1]).toBe(one);
    expect(endsOf([])).toBe(null);
  });
});
