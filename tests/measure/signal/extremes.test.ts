import { describe, expect, it } from 'vitest';
import { extremes } from '../../../harness/measure/signal/extremes.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { normalQuantile } from '../../../harness/measure/signal/normal-quantile.ts';
import { plateauNoise } from '../../../harness/measure/signal/plateau-noise.ts';
import { statistics } from '../../../harness/measure/signal/statistics.ts';

/** Samples of a plateau of `count` normal deviates of `rms` about `level`, evenly spread over their distribution. */
const plateau = (count: number, level: number, rms: number) =>
  Array.from({ length: count }, (_, k) => level + rms * normalQuantile((k + 0.5) / count));

const noiseOf = (values: readonly number[], noise: number) => {
  const samples = Float64Array.from(values);
  const top = plateauNoise(samples, Math.max(...values), 1, noise);
  const turned = samples.map((value) => -value);
  expect(plateauNoise(turned, -Math.max(...values), -1, noise)).toEqual(top);
  return top;
};

describe('noise of a plateau', () => {
  it.each([8, 40, 150, 2000])(
    'of %s normal deviates is what it is, however high it was taken',
    (count) => {
      for (const times of [2.5, 10, 1e4, 1e6]) {
        const { rms, count: near } = noiseOf(plateau(count, 5, 0.1), 0.1 * times);
        expect(Math.abs(rms / 0.1 - 1)).toBeLessThan(0.04);
        expect(near).toBeGreaterThanOrEqual(count - 1);
      }
    },
  );

  it('is the record’s own where the plateau does not contradict it, and never more', () => {
    for (const count of [8, 40, 150, 2000]) {
      expect(noiseOf(plateau(count, 5, 0.1), 0.1).rms).toBe(0.1);
      expect(noiseOf(plateau(count, 5, 0.1), 0.05).rms).toBe(0.05);
    }
  });

  it('of few samples is contradicted below 0.6 of it, of a hundred below 0.85 of it by their median', () => {
    expect(noiseOf(plateau(40, 5, 0.1), 0.15).rms).toBe(0.15);
    expect(noiseOf(plateau(99, 5, 0.1), 0.15).rms).toBe(0.15);
    const { rms, count } = noiseOf(plateau(101, 5, 0.1), 0.15);
    expect(count).toBe(101);
    expect(Math.abs(rms / 0.1 - 1)).toBeLessThan(0.04);
    expect(noiseOf(plateau(2000, 5, 0.1), 0.113).rms).toBe(0.113);
  });

  it('counts the samples that could have been the extreme', () => {
    const values = [...plateau(300, 5, 0.1), ...plateau(700, 2, 0.1)];
    expect(noiseOf(values, 0.1)).toEqual({ count: 300, rms: 0.1 });
    const contradicted = noiseOf(values, 0.4);
    expect(contradicted.count).toBe(300);
    expect(Math.abs(contradicted.rms / 0.1 - 1)).toBeLessThan(0.05);
  });

  it('of a handful goes by their mean depth, of normal deviates as much below the largest', () => {
    const base = Array<number>(58).fill(0);
    // Depths 0 and 0.02.
    const two = noiseOf([...base, 10, 9.98], 0.1);
    expect(two.count).toBe(2);
    expect(two.rms).toBeCloseTo(0.01 / largestOfNormals(2), 9);
    // Depths 0, 0.02 … 0.12: still fewer than four in a half.
    const seven = noiseOf([...base, ...Array.from({ length: 7 }, (_, k) => 10 - 0.02 * k)], 0.2);
    expect(seven.count).toBe(7);
    expect(seven.rms).toBeCloseTo(0.06 / largestOfNormals(7), 9);
  });

  it('of one sample alone is the record’s, of equal samples none', () => {
    expect(noiseOf([0, 0, 0, 10, 0, 0], 0.1)).toEqual({ count: 1, rms: 0.1 });
    expect(noiseOf([0, 0, 0, 10, 10, 10], 0.1)).toEqual({ count: 1, rms: 0 });
    expect(noiseOf([0, 0, 0, 10, 10, 10], 0)).toEqual({ count: 1, rms: 0 });
  });

  it('is found however fine it is against what was said', () => {
    for (const rms of [1e-3, 1e-4, 1e-5])
      expect(Math.abs(noiseOf(plateau(40, 5, rms), 1).rms / rms - 1)).toBeLessThan(0.05);
  });
});

const extremesOf = (values: readonly number[], noise = 0) => {
  const samples = Float64Array.from(values);
  const found = extremes(samples, statistics(samples), noise);
  // Upside down, what was high is low.
  const turned = samples.map((value) => -value);
  const mirror = extremes(turned, statistics(turned), noise);
  expect(mirror.low).toBeCloseTo(-found.high, 12);
  expect(mirror.high).toBeCloseTo(-found.low, 12);
  expect(mirror.lowCorrection).toBeCloseTo(found.highCorrection, 12);
  expect(mirror.lowBetween).toBeCloseTo(found.highBetween, 12);
  expect(mirror.highBetween).toBeCloseTo(found.lowBetween, 12);
  expect([mirror.lowAlone, mirror.highAlone]).toEqual([found.highAlone, found.lowAlone]);
  return found;
};

describe('extremes among noise', () => {
  it('lose what noise adds to the highest of so many samples, on either side', () => {
    for (const [tops, bottoms] of [
      [500, 500],
      [50, 900],
    ] as const) {
      const found = extremesOf([...plateau(bottoms, 1, 0.1), ...plateau(tops, 5, 0.1)], 0.1);
      expect(found.highCorrection).toBeCloseTo(0.1 * largestOfNormals(tops), 3);
      expect(found.lowCorrection).toBeCloseTo(0.1 * largestOfNormals(bottoms), 3);
      expect(Math.abs(found.high - 5)).toBeLessThan(0.02);
      expect(Math.abs(found.low - 1)).toBeLessThan(0.02);
    }
  });

  it('of noise alone meet in the middle, and show nothing between samples', () => {
    const found = extremesOf(plateau(101, 5, 0.1), 0.2);
    const { lowest, highest } = statistics(Float64Array.from(plateau(101, 5, 0.1)));
    expect(found.low).toBeLessThanOrEqual(found.high);
    expect(found.highCorrection).toBeLessThanOrEqual((highest - lowest) / 2);
    expect([found.lowBetween, found.highBetween]).toEqual([0, 0]);
    const still = extremesOf([3, 3, 3, 3]);
    expect(still).toMatchObject({ low: 3, high: 3, highBetween: 0, highAlone: false });
  });

  it('of two samples say nothing of what lies between', () => {
    expect(extremesOf([1, 2])).toMatchObject({ high: 2, highBetween: 0, highAlone: false });
  });
});

/** A top of five samples on a long base of 0, its highest 10: what it may hide between samples, not divided by √3. */
function beyond(five: readonly number[], noise = 0): number {
  const base = Array<number>(20).fill(0);
  const { highBetween, high } = extremesOf([...base, ...five, ...base], noise);
  expect(high).toBe(10);
  return highBetween * Math.sqrt(3);
}

describe('what lies between two samples', () => {
  it('of a smooth top: to the vertex of its parabola, and a twenty-fourth of the bend for means', () => {
    // y = -b/2 (x - lean/2)² with samples at whole x; a swing so large that nothing is coarse.
    for (const lean of [0, 0.3, 0.6, 1]) {
      const bend = 2;
      const values = Array.from({ length: 601 }, (_, k) => (-bend / 2) * (k - 300 - lean / 2) ** 2);
      const { highBetween } = extremesOf(values);
      expect(highBetween * Math.sqrt(3)).toBeCloseTo(bend * (lean ** 2 / 8 + 1 / 24), 4);
    }
  });

  it.each([8, 10, 12, 20, 50])(
    'of a sine of %s samples a period that are means: its crest',
    (count) => {
      const turn = (2 * Math.PI) / count;
      const mean = Math.sin(turn / 2) / (turn / 2);
      for (const phase of [0, 0.25, 0.5]) {
        const values = Array.from(
          { length: 7 * count },
          (_, k) => mean * Math.cos(turn * (k + phase)),
        );
        const { high, highBetween } = extremesOf(values);
        const [missed, found] = [1 - high, highBetween * Math.sqrt(3)];
        expect(found - missed).toBeGreaterThan(-0.0015);
        expect(found - missed).toBeLessThan(count < 10 ? 0.19 : 0.001);
      }
    },
  );

  it.each([3, 4, 5, 6])('of a sine of %s samples a period: no less than is missed', (count) => {
    const turn = (2 * Math.PI) / count;
    for (const phase of [0, 0.1, 0.2, 0.3, 0.4, 0.5]) {
      const values = Array.from({ length: 7 * count }, (_, k) => Math.cos(turn * (k + phase)));
      const { high, highBetween } = extremesOf(values);
      expect(high + highBetween * Math.sqrt(3)).toBeGreaterThanOrEqual(1);
    }
  });

  it('of a coarse top a part of its bend more, the larger the more it fills the swing', () => {
    // Bend 6 of a swing of 10, neighbours bent as much: 6 (1/24 + 0.36 · 0.03).
    expect(beyond([-2 + 3, 7, 10, 7, 1].map((y, k) => (k % 4 === 0 ? -2 : y)))).toBeCloseTo(
      6 * (1 / 24 + (6 / 12) ** 2 * 0.03),
      9,
    );
  });

  it('at a corner between straight flanks: where they meet, and 15 % more', () => {
    // Flanks of 1 a sample that meet in the sample itself: half of a step, which a mean would have lost.
    expect(beyond([8, 9, 10, 9, 8])).toBeCloseTo((1.15 + 0.2 ** 2) * 0.5, 9);
    // Flanks 3 and 4: y = 10 - 1 + 3 (x + 1) and 10 - 4 x meet at x = -2/7, 8/7 above.
    expect(beyond([6, 9, 10, 6, 2])).toBeCloseTo((1.15 + 0.5 ** 2) * (8 / 7), 9);
    expect(beyond([2, 6, 10, 9, 6])).toBeCloseTo((1.15 + 0.5 ** 2) * (8 / 7), 9);
  });

  it('between a corner and a curve: the more the neighbours bend, the less of the corner', () => {
    // Bend 2; neighbours bend by 0.8 each, 0.4 of it: half of the way from 0.6 to 0.2. Flanks of 1.8 meet 0.8 above.
    const coarse = 0.2 ** 2;
    const smooth = 2 * (1 / 24 + coarse * 0.03);
    expect(beyond([7.2, 9, 10, 9, 7.2])).toBeCloseTo(
      smooth + 0.5 * ((1.15 + coarse) * 0.8 - smooth),
      9,
    );
    // The straighter side counts. Flanks 1.8 and 1: 9 + 1.8 (x + 1) and 9 - (x - 1) meet at x = -2/7, 2/7 above; half a step is more.
    expect(beyond([7.2, 9, 10, 9, 8])).toBeCloseTo((1.15 + coarse) * 0.5, 9);
  });

  it('beside a step: as far as the slope on its other side leads in two samples', () => {
    expect(beyond([0, 0, 10, 9.4, 9])).toBeCloseTo(1.2, 9);
    expect(beyond([0, 0, 10, 9.9, 9.1])).toBeCloseTo(1.6, 9);
    expect(beyond([9, 9.4, 10, 0, 0])).toBeCloseTo(1.2, 9);
    expect(beyond([9.1, 9.9, 10, 0, 0])).toBeCloseTo(1.6, 9);
    expect(beyond([0, 0, 10, 10, 10])).toBe(0);
  });

  it('where a flank is none: as far as the other leads, no farther than the step', () => {
    // No rise on the left, a fall of 2 on the right: the larger distance to a neighbour, 2, or the fall.
    expect(beyond([9, 9, 10, 8, 6])).toBeCloseTo((1.15 + 0.3 ** 2) * 2, 9);
    expect(beyond([6, 8, 10, 9, 9])).toBeCloseTo((1.15 + 0.3 ** 2) * 2, 9);
    // A fall of 2 below one of 2.5, which the neighbours' bend of 0.5 at the least leaves straight: 2.
    expect(beyond([9, 9, 10, 7.5, 5.5])).toBeCloseTo((1.15 + 0.35 ** 2) * 2, 9);
  });

  it('is less by the noise that bends a top: √6 of its rms', () => {
    const clean = beyond([-2, 7, 10, 7, -2]);
    expect(clean).toBeCloseTo(6 * (1 / 24 + 0.25 * 0.03), 9);
    const bend = 6 - Math.sqrt(6) * 0.1;
    expect(beyond([-2, 7, 10, 7, -2], 0.1)).toBeCloseTo(
      bend * (1 / 24 + (bend / 12) ** 2 * 0.03),
      9,
    );
    // Beside a step by twice it.
    expect(beyond([0, 0, 10, 9.4, 9], 0.1)).toBeCloseTo(0.8, 9);
    // A swing of less than twelve times the noise may be noise alone.
    const base = Array<number>(20).fill(0);
    const swing = (noise: number) => extremesOf([...base, 4, 6, 12, 6, 4, ...base], noise);
    expect(swing(1.01).highBetween).toBe(0);
    expect(swing(0.99).highBetween).toBeGreaterThan(0);
  });

  it('a corner under noise is one when its neighbours bend no more than noise bends', () => {
    const [noise, bend] = [0.05, 2 - Math.sqrt(6) * 0.05];
    const coarse = (bend / 10) ** 2;
    expect(beyond([7.95, 9, 10, 9, 7.95], noise)).toBeCloseTo((1.15 + coarse) * 0.5, 9);
  });

  it('is that of the best of equal tops, and of one at an end only where there is no other', () => {
    const base = Array<number>(20).fill(0);
    const two = [...base, 8, 9, 10, 9, 8, ...base, 0, 0, 10, 9.9, 9.9, ...base];
    expect(extremesOf(two).highBetween * Math.sqrt(3)).toBeCloseTo(0.2, 9);
    expect(extremesOf([10, 9, 8, ...base]).highBetween).toBeGreaterThan(0);
    expect(extremesOf([10, 9, 8, ...base, 0, 10, 10, 10, ...base]).highBetween).toBe(0);
    expect(extremesOf([...base, 0, 10, 10, 10, ...base, 8, 9, 10]).highBetween).toBe(0);
  });

  it('says where the extreme is one sample alone', () => {
    const base = Array<number>(9).fill(0);
    expect(extremesOf([...base, 10, ...base]).highAlone).toBe(true);
    expect(extremesOf([...base, 10, ...base]).lowAlone).toBe(false);
    expect(extremesOf([...base, 10, 6, ...base]).highAlone).toBe(false);
    expect(extremesOf([...base, 6, 10, ...base]).highAlone).toBe(false);
    expect(extremesOf([...base, 4, 10, 4, ...base]).highAlone).toBe(true);
    expect(extremesOf([...base, 10, ...base, 10, 10, ...base]).highAlone).toBe(false);
    expect(extremesOf([...base, 10, ...base, 9, 9.995, 9, ...base]).highAlone).toBe(false);
    expect(extremesOf([...base, 10, ...base, 9, 9.98, 9, ...base]).highAlone).toBe(true);
  });

  it('under noise is that at a tenth of the tops, in flat surroundings by chance', () => {
    const base = Array<number>(5).fill(0);
    // Tops that noise of 0.01 spreads, of which the upper ones have flat surroundings. Sixteen lie within its rms and its
    // correction, 1.87 rms, below the highest: the second flattest counts.
    const heights = plateau(20, 10, 0.01);
    const tops = (flat: number) =>
      heights.flatMap((height, k) => {
        const slope = k >= 19 - flat && k < 19 ? 0.05 : 0.6;
        return [...base, 0, height, height - slope, height - slope];
      });
    const noisy = (flat: number) => extremesOf([...tops(flat), ...base], 0.01).highBetween;
    expect(noisy(1) * Math.sqrt(3)).toBeCloseTo(2 * (0.6 - 0.02), 1);
    expect(noisy(2) * Math.sqrt(3)).toBeCloseTo(2 * (0.05 - 0.02), 1);
    const clean = [0.6, 0.05, 0.6].flatMap((slope) => [...base, 0, 10, 10 - slope, 10 - slope]);
    expect(extremesOf([...clean, ...base]).highBetween * Math.sqrt(3)).toBeCloseTo(0.1, 9);
  });

  it('at either end of a record goes by its one side, mirrored', () => {
    const base = Array<number>(20).fill(0);
    // 5, 8, 10, 8, 5: a bend of 4 of a swing of 10; neighbours bend by 1, flanks of 3 meet 1 above.
    const coarse = 0.4 ** 2;
    const smooth = 4 * (1 / 24 + coarse * 0.03);
    const expected = smooth + ((0.6 - 0.25) / 0.4) * (1.15 + coarse - smooth);
    const end = extremesOf([...base, 5, 8, 10]).highBetween;
    expect(end * Math.sqrt(3)).toBeCloseTo(expected, 9);
    expect(extremesOf([10, 8, 5, ...base]).highBetween).toBeCloseTo(end, 12);
    // The second sample: what lies before it is mirrored about the first.
    const second = extremesOf([8, 10, 8, 5, ...base]).highBetween * Math.sqrt(3);
    // Its second before is itself again: 10, 8, 10, 8, 5 has no rise.
    expect(second).toBeGreaterThan(0);
    expect(extremesOf([...base, 5, 8, 10, 8]).highBetween * Math.sqrt(3)).toBeCloseTo(second, 9);
  });

  it('counts inside a record from its third sample on', () => {
    const base = Array<number>(20).fill(0);
    const other = [...base, 0, 0, 10, 9.4, 9, ...base];
    const of = (values: readonly number[]) => extremesOf(values).highBetween * Math.sqrt(3);
    expect(of([0, 0, 10, 9.95, 9.95, ...other])).toBeCloseTo(0.1, 9);
    expect(of([0, 10, 9.95, 9.95, ...other])).toBeCloseTo(1.2, 9);
    expect(of([...other, 9.95, 9.95, 10, 0, 0])).toBeCloseTo(0.1, 9);
    expect(of([...other, 9.95, 9.95, 10, 0])).toBeCloseTo(1.2, 9);
  });

  it('a neighbour half of the swing away is neither alone nor beyond a step', () => {
    const base = Array<number>(9).fill(0);
    expect(extremesOf([...base, 5, 10, 4, ...base]).highAlone).toBe(false);
    expect(extremesOf([...base, 4, 10, 5, ...base]).highAlone).toBe(false);
    // Bend 5.6, lean 4.4 of it; the corner's 0.6 is less than what is smooth.
    const [lean, coarse] = [4.4 / 5.6, 0.56 ** 2];
    expect(beyond([5, 5, 10, 9.4, 9.4])).toBeCloseTo(
      5.6 * (lean ** 2 / 8 + 1 / 24 + coarse * (0.03 + 0.28 * lean ** 2)),
      9,
    );
    // An eighth of the swing away is near, more is not: there the other flank leads, and no slope beside a step.
    expect(beyond([0, 0, 10, 8.75, 8.75])).toBeCloseTo(2.5, 9);
    expect(beyond([0, 0, 10, 6, 2])).toBeCloseTo((1.15 + 1) * 4, 9);
    expect(beyond([2, 6, 10, 0, 0])).toBeCloseTo((1.15 + 1) * 4, 9);
  });

  it('neighbours bend by no more than is clear of noise', () => {
    const [noise, root] = [0.1, Math.sqrt(6)];
    const bend = 2 - root * noise;
    const coarse = (bend / 10) ** 2;
    const smooth = bend * (1 / 24 + coarse * 0.03);
    const straight = (0.6 - (0.7 - root * noise) / bend) / 0.4;
    expect(straight).toBeLessThan(1);
    expect(beyond([7.3, 9, 10, 9, 7.3], noise)).toBeCloseTo(
      smooth + straight * ((1.15 + coarse) * 0.7 - smooth),
      9,
    );
  });

  it('of three samples is that of the middle one', () => {
    expect(extremesOf([8, 10, 8]).highBetween).toBeGreaterThan(0);
  });
});
