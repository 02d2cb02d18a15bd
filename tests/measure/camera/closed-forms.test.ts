import { describe, expect, it } from 'vitest';
import { bandContrast } from '../../../harness/measure/features/camera/band-contrast.ts';
import { bareEdges } from '../../../harness/measure/features/camera/bare-edges.ts';
import { exposureRefused } from '../../../harness/measure/features/camera/exposure-limits.ts';
import { missesPulses } from '../../../harness/measure/features/camera/missed-pulses.ts';
import { rowExposures } from '../../../harness/measure/features/camera/row-exposures.ts';
import { worstFrame } from '../../../harness/measure/features/camera/worst-frame.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { sampled } from '../light-of.ts';

/** Stretches of [value, samples] one after another. */
function stretches(...parts: readonly (readonly [number, number])[]): Float64Array {
  return Float64Array.from(parts.flatMap(([value, count]) => Array<number>(count).fill(value)));
}

/** The same stretches `times` over. */
function repeated(times: number, ...parts: readonly (readonly [number, number])[]): Float64Array {
  return stretches(...Array.from({ length: times }, () => parts).flat());
}

describe('an exposure', () => {
  const record = (count: number, rate = 1000) => sampled(() => 1, rate, count / rate);

  it('lasts at most one frame, to a part in a thousand million', () => {
    const second = record(3000);
    for (const exposure of [1, 1 + 5e-10, 1 + 1e-9, 0.5])
      expect(exposureRefused(second, exposure, 1), `${exposure}`).toBeNull();
    for (const exposure of [1 + 2e-9, 0, -1, Number.NaN])
      expect(exposureRefused(second, exposure, 1)).toEqual({
        measured: false,
        reason: 'out-of-domain',
        found: exposure,
        needed: 1,
        unit: 's',
        note: 'an exposure lasts at most one frame',
      });
  });

  it('holds eight samples, to a part in a thousand million', () => {
    const second = record(8 * 3, 8);
    for (const exposure of [1, 1 - 5e-10, 1 - 1e-9])
      expect(exposureRefused(second, exposure, 1), `${exposure}`).toBeNull();
    expect(exposureRefused(second, 1 - 2e-9, 1)).toEqual({
      measured: false,
      reason: 'too-slow',
      found: 8,
      needed: 8 / (1 - 2e-9),
      unit: 'Hz',
      note: 'an exposure must hold 8 samples',
    });
  });

  it('and its frame fit into the record, to a part in a thousand million', () => {
    for (const frameTime of [0.75, 0.75 + 5e-10, 0.75 - 5e-10])
      expect(exposureRefused(record(1024, 1024), 0.25, frameTime)).toBeNull();
    expect(exposureRefused(record(1024, 1024), 0.25, 0.75 + 2e-9)).toEqual({
      measured: false,
      reason: 'too-short',
      found: 1,
      needed: expect.closeTo(1 + 2e-9, 12),
      unit: 's',
      note: 'the record must hold a whole frame',
    });
  });

  it('is not told from pulses that fall between samples', () => {
    const samples = repeated(50, [1, 1], [0, 3], [1, 2], [0, 9]);
    const outcome = exposureRefused({ ...record(0), samples, rate: 1000 }, 0.02, 0.04);
    expect(outcome).toEqual({
      measured: false,
      reason: 'unresolved',
      found: 1 / 1000,
      unit: 's',
      note: expect.stringContaining('pulses shorter than a sample fall between samples'),
    });
  });
});

describe('pulses fall between samples', () => {
  /** Three times a pulse of one sample and so many of two, all as far apart. */
  const fewSingles = (others: number) => {
    const one = [[1, 1] as const, [0, 9] as const];
    const two = [[1, 2] as const, [0, 9] as const];
    return Float64Array.of(
      0,
      ...repeated(3, ...one, ...Array.from({ length: others }, () => two).flat()),
    );
  };
  const inverted = (samples: Float64Array) => samples.map((value) => 1 - value);

  it.each([
    ['where some last one sample and others two', repeated(20, [1, 1], [0, 3], [1, 2], [0, 3])],
    [
      'where their distances differ by two samples',
      repeated(20, [1, 1], [0, 3], [1, 1], [0, 5], [1, 1], [0, 4]),
    ],
    ['where a tenth of them last one sample', fewSingles(9)],
  ] as const)('%s', (_, samples) => {
    expect(missesPulses(samples)).toBe(true);
    // A gap is a pulse of dark.
    expect(missesPulses(inverted(samples))).toBe(true);
    // Neither the level nor the size of the light matters.
    expect(missesPulses(samples.map((value) => 100 + 10 * value))).toBe(true);
  });

  it.each([
    ['in light that stands', stretches([1, 50])],
    ['in light that steps once', stretches([0, 20], [1, 20])],
    ['locked to the clock', repeated(20, [1, 1], [0, 3])],
    ['at distances that differ by one sample', repeated(20, [1, 1], [0, 3], [1, 1], [0, 4])],
    ['of two samples and more', repeated(20, [1, 2], [0, 5], [1, 3], [0, 9])],
    ['of which fewer than a tenth last one sample', fewSingles(10)],
    [
      'cut off by either end of the record',
      stretches([0, 1], [1, 1], [0, 4], [1, 1], [0, 4], [1, 1], [0, 9]),
    ],
    [
      'with one sample between the levels',
      stretches([0, 3], [0.5, 1], [1, 1], [0, 3], [1, 2], [0, 9], [1, 1], [0, 2]),
    ],
    ['of no samples at all', new Float64Array(0)],
  ] as const)('but not %s', (_, samples) => {
    expect(missesPulses(samples)).toBe(false);
    expect(missesPulses(inverted(samples))).toBe(false);
  });

  it('where the first or the last pulse is cut off, by the others alone', () => {
    // Of the whole pulses each lasts one sample; the cut ones have no width.
    expect(missesPulses(stretches([1, 2], [0, 3], [1, 1], [0, 3], [1, 1], [0, 3], [1, 4]))).toBe(
      false,
    );
    expect(missesPulses(stretches([1, 3], [0, 3], [1, 1], [0, 3], [1, 2], [0, 3], [1, 1]))).toBe(
      true,
    );
  });

  it('also within a fifth of the swing from either level, and no further', () => {
    const between = (low: number, high: number) =>
      repeated(20, [1, 1], [low, 1], [11, 1], [3, 1], [1, 2], [high, 1], [9, 1], [1, 5]);
    // From 1 to 11 the levels reach to 3 and from 9 on.
    expect(missesPulses(between(3, 9))).toBe(true);
    expect(missesPulses(between(3.01, 9))).toBe(false);
    expect(missesPulses(between(3, 8.99))).toBe(false);
  });

  it('where at most one of ten thousand pulses and gaps has a sample between the levels', () => {
    // 2500 times two pulses and two gaps, but for the run that either end cuts off.
    const whole = [...repeated(2500, [0, 4], [1, 1], [0, 4], [1, 2]), 0, 0, 0, 1];
    const marked = (samples: readonly number[]) =>
      Float64Array.from(samples, (value, k) => (k === 5003 ? 0.5 : value));
    // The first run of dark is cut: 9999 runs and the last of dark make 10 000.
    expect(missesPulses(marked(whole))).toBe(true);
    expect(missesPulses(marked(whole.slice(0, -1)))).toBe(false);
    // It belongs to the level before it: of pulses locked to the clock, one is longer.
    const locked = repeated(5001, [0, 3], [1, 1]);
    locked[4000] = 0.5;
    expect(missesPulses(locked)).toBe(true);
  });
});

describe('bare edges', () => {
  it('are those from level to level without a sample between', () => {
    const square = repeated(5, [1, 20], [3, 20]);
    expect(bareEdges(square)).toEqual({ height: 2, density: 9 / 200 });
    expect(bareEdges(square.map((value) => -value))).toEqual({ height: 2, density: 9 / 200 });
  });

  it('span four fifths of the swing', () => {
    // From 0 to 10: one edge of 10, the others of 8 or less.
    expect(bareEdges(stretches([0, 9], [10, 9], [2, 9], [10, 9]))).toEqual({
      height: 10,
      density: 3 / 36,
    });
    expect(bareEdges(stretches([0, 9], [10, 9], [2.1, 9], [10, 9]))).toEqual({
      height: 10,
      density: 1 / 36,
    });
  });

  it('stand for two samples on either side, within a fifth of the swing', () => {
    const edge = (...around: readonly number[]) =>
      bareEdges(Float64Array.of(0, 0, 0, ...around, 10, 10, 10)).density;
    expect(edge(1.9, 0, 10, 8.1)).toBe(1 / 10);
    expect(edge(0, 1.9, 10, 10)).toBe(1 / 10);
    expect(edge(2, 0, 10, 10)).toBe(0);
    expect(edge(0, 0, 10, 8)).toBe(0);
    expect(edge(1.9, 0, 10, 10)).toBe(1 / 10);
    // A pulse of a single sample has no top to stand on.
    expect(edge(0, 0, 10, 0, 0, 0)).toBe(1 / 12);
  });

  it('are none of a record that shows most of its edges in two steps, as means do', () => {
    const bare = [[0, 6] as const, [10, 6] as const];
    const split = [[0, 6] as const, [5, 1] as const, [10, 6] as const, [5, 1] as const];
    const mixed = (own: number, others: number) =>
      bareEdges(
        stretches(
          ...Array.from({ length: own }, () => bare).flat(),
          ...Array.from({ length: others }, () => split).flat(),
          [0, 6],
        ),
      );
    expect(mixed(0, 4)).toEqual({ height: 0, density: 0 });
    // Six bare edges (the last falls into the split ones) of twelve are not most.
    expect(mixed(3, 3)).toEqual({ height: 0, density: 6 / 84 });
    expect(mixed(3, 2)).toEqual({ height: 10, density: 6 / 70 });
  });

  it('in two steps span four fifths of the swing as well, and neither step alone does', () => {
    // One edge in one step and one in two, of exactly 8 of 10: not most are bare.
    expect(bareEdges(stretches([0, 6], [10, 6], [6, 1], [2, 6]))).toEqual({
      height: 0,
      density: 1 / 19,
    });
    expect(bareEdges(stretches([0, 6], [10, 6], [6, 1], [2.1, 6])).height).toBe(10);
    // The second step is 8 of 10 by itself.
    expect(bareEdges(stretches([10, 6], [0, 6], [2, 1], [10, 6])).height).toBe(10);
    expect(bareEdges(stretches([10, 6], [0, 6], [2.1, 1], [10, 6])).height).toBe(0);
  });

  it('are none of light that stands, and none at the very ends', () => {
    expect(bareEdges(stretches([1, 20]))).toEqual({ height: 0, density: 0 });
    expect(bareEdges(stretches([0, 1], [1, 20])).height).toBe(0);
    expect(bareEdges(stretches([0, 2], [1, 20])).height).toBe(1);
    expect(bareEdges(stretches([0, 20], [1, 1])).height).toBe(0);
    expect(bareEdges(stretches([0, 20], [1, 2])).height).toBe(1);
  });
});

describe('exposures of a row', () => {
  it('are of a whole number of samples where rounding alone says otherwise', () => {
    const samples = Float64Array.of(1, 4, 2, 8, 5);
    for (const length of [2 - 5e-10, 2, 2 + 5e-10]) {
      const { light, perSample } = rowExposures(samples, length);
      expect(perSample).toBe(1);
      expect([...light]).toEqual([2.5, 3, 5, 6.5].map((value) => expect.closeTo(value, 8)));
    }
    expect(rowExposures(samples, 2 + 2e-9).perSample).toBe(2);
    expect(rowExposures(samples, 2 - 2e-9).perSample).toBe(2);
  });

  it('may be as long as the record', () => {
    const samples = Float64Array.of(1, 4, 2, 8, 5);
    expect([...rowExposures(samples, 5).light]).toEqual([4]);
    const { light, startOf } = rowExposures(samples, 4.75);
    expect([...light]).toEqual([
      expect.closeTo((1 + 4 + 2 + 8 + 0.75 * 5) / 4.75, 12),
      expect.closeTo((0.75 * 1 + 4 + 2 + 8 + 5) / 4.75, 12),
    ]);
    expect([startOf(0), startOf(1)]).toEqual([0, 0.25]);
  });
});

describe('the worst frame', () => {
  it('is named by its first value and its two extremes', () => {
    const values = Float64Array.of(5, 5, 8, 5, 5, 2, 5, 5, 3, 5);
    expect(worstFrame(values, 4)).toEqual({ low: 2, high: 8, first: 2, lowAt: 5, highAt: 2 });
    expect(worstFrame(values, 3)).toEqual({ low: 2, high: 5, first: 3, lowAt: 5, highAt: 4 });
  });

  it('is the first of several, and the whole where it is longer', () => {
    const values = Float64Array.of(4, 6, 4, 6, 4);
    expect(worstFrame(values, 2)).toEqual({ low: 4, high: 6, first: 0, lowAt: 0, highAt: 1 });
    expect(worstFrame(values, 50)).toMatchObject({ low: 4, high: 6, first: 0 });
    expect(worstFrame(values, 0)).toMatchObject({ low: 4, high: 4, first: 0 });
  });

  it('forgets what has left the frame, and names the last of equal extremes', () => {
    expect(worstFrame(Float64Array.of(8, 5, 5, 9), 2)).toMatchObject({ low: 5, high: 9, first: 2 });
    expect(worstFrame(Float64Array.of(2, 5, 5, 1), 2)).toMatchObject({ low: 1, high: 5, first: 2 });
    expect(worstFrame(Float64Array.of(5, 2, 2, 5), 4)).toMatchObject({ lowAt: 2, highAt: 3 });
  });

  it('has no contrast in the dark', () => {
    expect(worstFrame(Float64Array.of(-1, 1, 0.5), 2)).toMatchObject({ low: 0.5, high: 1 });
    expect(worstFrame(Float64Array.of(0, 0, 0), 2)).toMatchObject({ low: 0, high: 0, first: 0 });
    expect(worstFrame(Float64Array.of(0, 0, 1, 3), 2)).toMatchObject({ low: 0, high: 1, first: 1 });
  });
});

describe('the contrast of bands', () => {
  /** An exposure of `length` samples and a frame of `frame` samples. */
  const bandsOf = (samples: Float64Array, length: number, frame: number, noise = 0) =>
    bandContrast({ samples, rate: 1000 }, length / 1000, frame / 1000, noise);

  it('is that of the brightest and the darkest start within a frame, both of its ends included', () => {
    const samples = Float64Array.of(2, 4, 2, 2, 2, 2, 1, 2, 2);
    expect(bandsOf(samples, 1, 5)).toMatchObject({ contrast: 0.6, raw: 0.6, at: 1e-3 });
    expect(bandsOf(samples, 1, 5 - 1e-7).raw).toBeCloseTo(0.6, 12);
    expect(bandsOf(samples, 1, 4.9)).toMatchObject({ raw: expect.closeTo(1 / 3, 12), at: 0 });
  });

  it('has twice as many starts where an exposure is no whole number of samples', () => {
    // Brute force over the integral of the steps, frame by frame.
    const samples = Float64Array.of(3, 3, 3, 5, 3, 3, 3, 3, 2, 3, 3, 3);
    const [length, frame] = [1.5, 4];
    const upTo = (t: number) => {
      const whole = Math.floor(t);
      const sum = samples.subarray(0, whole).reduce((a, b) => a + b, 0);
      return sum + (t - whole) * (samples[whole] ?? 0);
    };
    const starts = Array.from({ length: 21 }, (_, k) => k / 2);
    const light = starts.map((at) => (upTo(at + length) - upTo(at)) / length);
    let worst = { contrast: 0, at: 0 };
    starts.forEach((at, k) => {
      const seen = light.slice(k, k + 2 * frame + 1);
      if (seen.length < 2 * frame + 1) return;
      const [low, high] = [Math.min(...seen), Math.max(...seen)];
      const contrast = (high - low) / (high + low);
      if (contrast > worst.contrast) worst = { contrast, at };
    });
    const found = bandsOf(samples, length, frame);
    expect(found.raw).toBeCloseTo(worst.contrast, 12);
    expect(found.at).toBeCloseTo(worst.at / 1000, 12);
  });

  it('is rid of what noise adds to the extremes of so many exposures apart (Blom)', () => {
    // Ten exposures of ten samples stand on either level.
    const samples = stretches([1, 100], [0.5, 100]);
    const noise = 1e-3;
    const added = (noise / Math.sqrt(10)) * largestOfNormals(10);
    const { contrast, raw } = bandsOf(samples, 10, 300, noise);
    expect(raw).toBeCloseTo(1 / 3, 12);
    expect(contrast).toBeCloseTo((0.5 - 2 * added) / 1.5, 9);
    // One exposure on top, ten below: nothing is added to a single one.
    const pulse = stretches([0.5, 50], [1, 10], [0.5, 50]);
    const below = (noise / Math.sqrt(10)) * largestOfNormals(10);
    expect(bandsOf(pulse, 10, 300, noise).contrast).toBeCloseTo((0.5 - below) / (1.5 + below), 9);
    const pit = stretches([1, 50], [0.5, 10], [1, 50]);
    expect(bandsOf(pit, 10, 300, noise).contrast).toBeCloseTo((0.5 - below) / (1.5 - below), 9);
    // Exposures of a broken number of samples lie as far apart.
    const broken = bandsOf(stretches([1, 105], [0.5, 105]), 10.5, 300, noise);
    const less = (noise / Math.sqrt(10.5)) * largestOfNormals(10);
    expect(broken.contrast).toBeCloseTo((0.5 - 2 * less) / 1.5, 9);
  });

  it('counts as high what lies within twice the largest deviation of so many exposures', () => {
    // Of 100 exposures the largest deviation is 2.5: within 0.05 of the top there are ten, of which nine at 0.96.
    const noise = 0.01;
    const near = bandsOf(stretches([1, 1], [0.96, 9], [0.5, 90]), 1, 300, noise);
    const [high, low] = [1 - noise * largestOfNormals(10), 0.5 + noise * largestOfNormals(90)];
    expect(near.contrast).toBeCloseTo((high - low) / (high + low), 9);
    // Of 50 exposures of two samples it is 2.25: those at 0.95 are not among them, five are.
    const apart = bandsOf(stretches([1, 10], [0.95, 10], [0.5, 80]), 2, 300, noise * Math.SQRT2);
    const [top, bottom] = [1 - noise * largestOfNormals(5), 0.5 + noise * largestOfNormals(40)];
    expect(apart.contrast).toBeCloseTo((top - bottom) / (top + bottom), 9);
  });

  it('that noise could have made is none', () => {
    const samples = stretches([1, 100], [0.999, 100]);
    expect(bandsOf(samples, 10, 300, 0.1)).toMatchObject({
      contrast: 0,
      raw: expect.closeTo(0.001 / 1.999, 12),
    });
    expect(bandsOf(stretches([1, 20], [-1, 20]), 10, 40).raw).toBe(0);
    expect(bandsOf(new Float64Array(50), 10, 20)).toEqual({
      contrast: 0,
      raw: 0,
      at: 0,
      edges: 0,
      course: 0,
    });
  });

  it('is not below that of light down to nothing', () => {
    // The lower level lies below zero by less than the noise.
    const samples = stretches([1, 100], [-0.01, 100]);
    expect(bandsOf(samples, 10, 300, 1e-6).contrast).toBe(1);
  });

  it('doubts where edges lie within samples that are instants: 0.8 of a sample for each, as random ones add', () => {
    const square = repeated(5, [1, 20], [3, 20]);
    const part = 0.8 * Math.sqrt(1 + (9 / 200) * 10);
    const expected = (2 * part) / 10 / 4;
    expect(bandsOf(square, 10, 300).edges).toBeCloseTo(expected, 12);
    expect(bandsOf(square, 10, 300, 0.16).edges).toBeCloseTo(expected, 12);
    // Twelve times the noise may be noise alone.
    expect(bandsOf(square, 10, 300, 2 / 12).edges).toBe(0);
    expect(bandsOf(square, 10, 300, 0.17).edges).toBe(0);
  });

  it('doubts what a smooth course has between two starts: an eighth of its bend, a rectangle', () => {
    const part = 1 / 8 / Math.sqrt(3);
    // 9 - k²: its second difference is 2 everywhere, also beside the ends, where the lowest lies.
    const parabola = Float64Array.from({ length: 7 }, (_, k) => 9 - (k - 3) ** 2);
    expect(bandsOf(parabola, 1, 6).course).toBeCloseTo(((2 + 2) / 9) * part, 12);
    // A corner is exact: its neighbours do not bend.
    expect(bandsOf(Float64Array.of(0, 1, 2, 3, 2, 1, 0), 1, 6).course).toBe(0);
    // The flattest of the extreme and its two neighbours counts: of 4, 3 and 1 at the top, 0 at the bottom (by hand).
    const lopsided = Float64Array.of(2, 8, 10, 9, 7, 5, 3, 1);
    expect(bandsOf(lopsided, 1, 7).course).toBeCloseTo((1 / 11) * part, 12);
    expect(bandsOf(lopsided.toReversed(), 1, 7).course).toBeCloseTo((1 / 11) * part, 12);
    // k² + 1, with its extremes at its ends: the one neighbour that bends counts.
    const rising = Float64Array.of(1, 2, 5, 10, 17, 26);
    expect(bandsOf(rising, 1, 5).course).toBeCloseTo(((2 + 2) / 27) * part, 12);
    // Two starts have no course.
    expect(bandsOf(Float64Array.of(1, 2), 1, 1).course).toBe(0);
  });

  it('takes the bend from sample to sample where there are two starts a sample', () => {
    const part = 1 / 8 / Math.sqrt(3);
    const samples = Float64Array.from({ length: 9 }, (_, k) => 20 - (k - 4) ** 2);
    // Of means over 1.5 samples of a parabola's steps: the second difference from sample to sample is 2 as well.
    const { light } = rowExposures(samples, 1.5);
    const sum = Math.max(...light) + Math.min(...light);
    expect(bandsOf(samples, 1.5, 8).course).toBeCloseTo(((2 + 2) / sum) * part, 12);
  });
});
