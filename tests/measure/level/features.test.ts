import { describe, expect, it } from 'vitest';
import {
  type Averages,
  driftOf,
  dropoutsOf,
} from '../../../harness/measure/features/level/averages.ts';
import { darkRuns } from '../../../harness/measure/features/level/dark-runs.ts';
import { largestChange } from '../../../harness/measure/features/level/largest-change.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';

const rate = 1000;

function record(samples: ArrayLike<number>, start = 0): Waveform {
  return { samples: Float64Array.from(samples), rate, start, unit: 'lx', clipped: 0 };
}

const stretch = (value: number, count: number) => Array<number>(count).fill(value);

describe('dark runs', () => {
  const half = { mean: 1, level: 0.5 };
  const runs = (samples: readonly number[], usual = 0.001, start = 0) =>
    darkRuns(record(samples, start), half, usual).map(({ from, to }) => [
      Math.round((from - start) * rate),
      Math.round((to - start) * rate),
    ]);

  it('last from their first sample to the one behind their last', () => {
    const samples = [
      ...stretch(1, 10),
      ...stretch(0, 5),
      ...stretch(1, 10),
      0.49,
      ...stretch(1, 9),
    ];
    expect(runs(samples)).toEqual([
      [10, 15],
      [25, 26],
    ]);
    expect(runs(samples, 0.001, 2)).toEqual([
      [10, 15],
      [25, 26],
    ]);
  });

  it('reach to the ends of the record, and begin below the level', () => {
    expect(runs([...stretch(0, 4), ...stretch(1, 20), ...stretch(0, 3)])).toEqual([
      [0, 4],
      [24, 27],
    ]);
    expect(runs([...stretch(1, 10), 0.5, ...stretch(1, 10)])).toEqual([]);
    expect(runs([])).toEqual([]);
    expect(runs(stretch(0, 9))).toEqual([[0, 9]]);
  });

  it('are looked at in means as long as the noise asks for', () => {
    // Neighbours differ by 0.1: noise of 0.1 / 0.6745 / √2 / 0.81, and means of (6 · 0.13 / 0.5)² → 3 samples,
    // which are below half where two of them are dark.
    const noisy = Array.from({ length: 200 }, (_, k) => 1 + (k % 2 ? 0.05 : -0.05));
    const dark = (first: number, count: number) =>
      noisy.map((value, k) => (k >= first && k < first + count ? 0 : value));
    expect(runs(dark(100, 1))).toEqual([]);
    expect(runs(dark(100, 5))).toEqual([[99, 106]]);
    const quiet = stretch(1, 200).map((value, k) => (k === 100 ? 0 : value));
    expect(runs(quiet)).toEqual([[100, 101]]);
  });

  describe('between the pulses of a modulator', () => {
    /** Pulses of 45 ms, one after each gap, ms. */
    const pulsed = (gaps: readonly number[]) =>
      gaps.flatMap((gap) => [...stretch(1, 45), ...stretch(0, gap)]).concat(stretch(1, 45));
    const lengths = (gaps: readonly number[], usual = 0.1) =>
      runs(pulsed(gaps), usual).map(([from = 0, to = 0]) => to - from);
    const alike = stretch(5, 20);

    it('are none but those that are half as long again as nine in ten', () => {
      // 7.5 ms and a sample and a half.
      expect(lengths([...alike, 8])).toEqual([]);
      expect(lengths([...alike, 10])).toEqual([10]);
      expect(lengths([30, ...alike])).toEqual([30]);
    });

    it('and six times as far beyond these as they are beyond the median', () => {
      // Twelve of 4 ms, eight of 6 ms: 1.5 · 6 + 6 · 2 = 21 ms.
      const spread = [...stretch(4, 12), ...stretch(6, 8)];
      expect(lengths([...spread, 22])).toEqual([]);
      expect(lengths([...spread, 24])).toEqual([24]);
    });

    it('but all of them where they are fewer than ten, or rarer than usual', () => {
      expect(lengths(stretch(5, 9))).toHaveLength(9);
      expect(lengths(stretch(5, 10))).toHaveLength(0);
      expect(lengths(alike, 0.045)).toHaveLength(20);
      expect(lengths(alike, 0.055)).toHaveLength(0);
    });
  });
});

function averages(values: readonly number[]): Averages {
  return {
    times: Float64Array.from(values, (_, k) => 3 + k),
    values: Float64Array.from(values),
    mean: values.reduce((sum, value) => sum + value, 0) / values.length,
    noise: 0,
    width: 2,
    waveform: record([]),
  };
}

describe('a series of averages', () => {
  it('drops out where it falls below a part of its mean', () => {
    const { times, ...rest } = averages([10, 4, 4, 10, 5, 10, 4.9, 10]);
    expect(dropoutsOf({ times, ...rest, mean: 10 }, 0.5)).toEqual([4, 9]);
    expect(dropoutsOf({ times, ...rest, mean: 10 }, 0.51)).toEqual([4, 7, 9]);
    expect(dropoutsOf(averages([1, 10, 10]), 0.5)).toEqual([3]);
  });

  it('drifts along its least-squares line, known to the scatter about it (by hand)', () => {
    expect(driftOf(averages([8, 9, 10, 11, 12]))).toEqual({
      change: expect.closeTo(0.4, 12),
      standard: expect.closeTo(0, 12),
    });
    // ± 1 without a slope: a square sum of 4, of x of 5; √(1.6 · 4 / 2 / 5) · 3 / 10.
    expect(driftOf(averages([11, 9, 9, 11]))).toEqual({
      change: expect.closeTo(0, 12),
      standard: expect.closeTo(0.24, 12),
    });
  });
});

describe('the largest change between stretches', () => {
  it('is that of a step, which is sure', () => {
    const { mean, ...step } = averages([...stretch(9, 20), ...stretch(11, 20)]);
    const change = largestChange({ mean, ...step });
    expect(change.sure).toBeCloseTo(0.2, 12);
    expect(change.most).toBeCloseTo(0.2, 12);
    expect([change.noise, change.ends]).toEqual([0, 0]);
  });

  it('is that of a straight line, with the way to the ends of the window (by hand)', () => {
    const line = averages(Array.from({ length: 40 }, (_, k) => 100 + k));
    const change = largestChange(line);
    expect(change.sure * line.mean).toBeCloseTo(39, 9);
    // Five stretches of eight: 32 between the outer ones, and half a stretch at either end.
    expect(change.most * line.mean).toBeCloseTo(40, 9);
    expect(change.ends * line.mean).toBeCloseTo(2, 9);
    expect(change.noise).toBe(0);
    // Three averages behind the last whole stretch.
    const longer = averages(Array.from({ length: 43 }, (_, k) => 100 + k));
    expect(largestChange(longer).most * longer.mean).toBeCloseTo(43, 9);
  });

  it('is none where noise explains it all', () => {
    const noisy = averages(Array.from({ length: 40 }, (_, k) => 10 + (k % 4 < 2 ? 0 : 1)));
    expect(largestChange(noisy)).toEqual({ sure: 0, noise: 0, most: 0, ends: 0 });
  });

  it('falls short of a step in noise by what noise makes of so many stretches', () => {
    // Second differences over two are ± 0.02 throughout: a scatter of 0.02 / 0.6745 / √6.
    const noisy = averages(
      Array.from({ length: 40 }, (_, k) => (k < 20 ? 9 : 11) + (k % 4 < 2 ? 0 : 0.01)),
    );
    const { sure, noise } = largestChange(noisy);
    const single = 0.02 / 0.6745 / Math.sqrt(6);
    expect(sure * noisy.mean).toBeGreaterThan(2.01 - 5 * single);
    expect(sure * noisy.mean).toBeLessThan(2.01);
    expect(noise * noisy.mean).toBeGreaterThan(single);
    expect(noise * noisy.mean).toBeLessThan(5 * single);
  });
});
