import { describe, expect, it } from 'vitest';
import {
  bilinear,
  butterworth,
  highPass,
  lowPass,
} from '../../../harness/measure/signal/bilinear.ts';
import { decimate } from '../../../harness/measure/signal/decimate.ts';
import { hannWeights } from '../../../harness/measure/signal/hann.ts';
import { largestAmongNoise } from '../../../harness/measure/signal/largest-among-noise.ts';
import { largestOfNormals } from '../../../harness/measure/signal/largest-of-normals.ts';
import { meanDoubtOfEdges } from '../../../harness/measure/signal/lone-edges.ts';
import { meanDeviation } from '../../../harness/measure/signal/mean-deviation.ts';
import { monotoneMedians } from '../../../harness/measure/signal/monotone-medians.ts';
import { normalQuantile } from '../../../harness/measure/signal/normal-quantile.ts';
import { quietStretchNoise } from '../../../harness/measure/signal/quiet-noise.ts';
import { filter, magnitude } from '../../../harness/measure/signal/sections.ts';
import {
  meansOfStrides,
  strideAngles,
  strideSums,
} from '../../../harness/measure/signal/stride-sums.ts';

const of = (...values: number[]) => Float64Array.from(values);

describe('mean deviation over whole periods', () => {
  it('of a square wave is half its swing, of a full sine 2/π of its amplitude', () => {
    const square = Float64Array.from({ length: 40 }, (_, k) => (k % 8 < 4 ? 1 : 5));
    expect(meanDeviation(square, 8, 0)).toEqual({
      mean: 3,
      deviation: 2,
      rise: 0,
      edges: 0,
      pulses: 0,
    });
    const sine = Float64Array.from(
      { length: 800 },
      (_, k) => 3 + Math.sin((2 * Math.PI * (k + 0.5)) / 400),
    );
    const found = meanDeviation(sine, 400, 0);
    expect(found.mean).toBeCloseTo(3, 12);
    expect(found.deviation).toBeCloseTo(2 / Math.PI, 4);
  });

  it('takes no more than whole periods, the last sample by its part', () => {
    // Three periods of 2.5 samples in 8: seven whole ones and half of the last.
    const samples = of(1, 4, 2, 8, 5, 7, 3, 6);
    const mean = (1 + 4 + 2 + 8 + 5 + 7 + 3 + 0.5 * 6) / 7.5;
    const found = meanDeviation(samples, 2.5, 0);
    expect(found.mean).toBeCloseTo(mean, 12);
    const sizes = [...samples].map((value, k) => Math.abs(value - mean) * (k < 7 ? 1 : 0.5));
    expect(found.deviation).toBeCloseTo(sizes.reduce((sum, each) => sum + each) / 7.5, 12);
    // One period of 5 in 8 samples, and one of all of them.
    expect(meanDeviation(samples, 5, 0).mean).toBe(4);
    expect(meanDeviation(samples, 8, 0).mean).toBe(4.5);
    // A period that rounding made a hair too long.
    expect(meanDeviation(samples, 4 * (1 + 1e-8), 0).mean).toBeCloseTo(4.5, 6);
  });

  it('rises by the density at the mean times the variance of the noise', () => {
    // Means 0: two of eight samples lie within the noise of 0.3.
    const samples = of(-1, -0.2, 1, 1, 1, 0.2, -1, -1);
    expect(meanDeviation(samples, 8, 0.3).rise).toBeCloseTo((2 * 0.3) / (2 * 8), 12);
    expect(meanDeviation(samples, 8, 0.2).rise).toBe(0);
  });

  it('loses in the sample of an edge what its mean hides', () => {
    // Levels 0 and 1, mean 0.5; edges fall at 0.7 of sample 2 and 0.3 of sample 6.
    const samples = of(0, 0, 0.3, 1, 1, 1, 0.7, 0);
    const { mean, edges } = meanDeviation(samples, 8, 0);
    expect(mean).toBe(0.5);
    // Each: 0.5 by the two levels, 0.2 by the sample itself.
    expect(edges).toBeCloseTo((2 * 0.3) / 8, 12);
  });

  it('loses by the parts that the two levels have of that sample', () => {
    // Mean 0.25: sample 5 holds 0.6 of the low level and 0.4 of the high one, whose deviations are 0.25 and 0.75.
    const samples = of(0, 0, 0, 0, 0, 0.4, 1, 0.6);
    expect(meanDeviation(samples, 8, 0).mean).toBe(0.25);
    expect(meanDeviation(samples, 8, 0).edges).toBeCloseTo(
      (0.6 * 0.25 + 0.4 * 0.75 - 0.15) / 8,
      12,
    );
    // What lies beyond both levels lost nothing.
    const beyond = of(0, 0, 0, 0, 0, 1.4, 1, 0.4);
    expect(meanDeviation(beyond, 8, 0).edges).toBeGreaterThanOrEqual(0);
  });

  it('of a slope beside a level counts as an edge, not as a course', () => {
    const passing = (beside: number) =>
      6 * meanDeviation(of(-1.5 - beside, -1.5, -0.5, 0.5, 1.5, 1.5 + beside), 6, 0).edges;
    // It has to come, and to go on, more than half as steeply as it passes; else each sample may hold half of a step of 2.
    expect(passing(0.51)).toBeCloseTo(2 / 12, 12);
    expect(passing(0.5)).toBeCloseTo(2 * 0.5, 12);
    const before = meanDeviation(of(-1.5, -1.5, -0.5, 0.5, 1.5, 1.5), 6, 0).edges;
    expect(6 * before).toBeCloseTo(1, 12);
  });

  it('of a course that passes through the mean misses a twelfth of its slope a sample', () => {
    const samples = of(-3.5, -2.5, -1.5, -0.5, 0.5, 1.5, 2.5, 3.5);
    // Both samples next to the passing: slope 1 each.
    expect(meanDeviation(samples, 8, 0).edges).toBeCloseTo(2 / 12 / 8, 12);
    const halved = meanDeviation(
      samples.map((value) => value / 2),
      8,
      0,
    );
    expect(halved.edges).toBeCloseTo(1 / 12 / 8, 12);
  });

  it('may miss pulses that are far shorter than a sample or two', () => {
    // Mean 0: one sample of 7 alone among -1.
    const alone = of(-1, -1, -1, 7, -1, -1, -1, -1);
    expect(meanDeviation(alone, 8, 0).pulses).toBeCloseTo((2 * 1) / 8, 12);
    const two = of(-1, -1, -1, 3, 3, -1, -1, -1);
    expect(meanDeviation(two, 8, 0).pulses).toBeCloseTo((4 * 1) / 8, 12);
    const three = of(-1, -1, -1, 5 / 3, 5 / 3, 5 / 3, -1, -1);
    expect(meanDeviation(three, 8, 0).pulses).toBe(0);
    const uneven = of(-2, -2, -2, 9, -0.5, -1, -1, -0.5);
    expect(meanDeviation(uneven, 8, 0).pulses).toBeCloseTo((2 * 0.5) / 8, 12);
    const late = of(-1, -1, -1, -1, -1, -1, 6, 0);
    expect(meanDeviation(late, 8, 0).pulses).toBe(0);
    const steep = of(-2, -2, -2, 3, 5, -1, -0.5, -0.5);
    expect(meanDeviation(steep, 8, 0).pulses).toBeCloseTo((4 * 1) / 8, 12);
    const unevenTwo = of(-2, -2, -2, 4.5, 4.5, -1, -1, -1);
    expect(meanDeviation(unevenTwo, 8, 0).pulses).toBeCloseTo((4 * 1) / 8, 12);
  });
});

describe('sums of strides', () => {
  const samples = Float64Array.from({ length: 60 }, (_, k) => Math.sin(k * k));

  it('are the samples, plain and times cosine and sine at their middles', () => {
    const { cos, sin } = strideAngles(12, 3);
    for (const k of [0, 1, 2]) {
      expect(cos[k]).toBeCloseTo(Math.cos((Math.PI * (k + 0.5)) / 6), 14);
      expect(sin[k]).toBeCloseTo(Math.sin((Math.PI * (k + 0.5)) / 6), 14);
    }
    const { plain, even, odd } = strideSums(samples, 5, 4, 12, 3);
    for (const block of [0, 1, 2, 3]) {
      const part = [...samples.subarray(5 + 3 * block, 8 + 3 * block)];
      expect(plain[block]).toBeCloseTo(
        part.reduce((sum, x) => sum + x),
        12,
      );
      expect(even[block]).toBeCloseTo(
        part.reduce((sum, x, k) => sum + x * (cos[k] ?? 9), 0),
        12,
      );
      expect(odd[block]).toBeCloseTo(
        part.reduce((sum, x, k) => sum + x * (sin[k] ?? 9), 0),
        12,
      );
    }
  });

  it('give the Hann-weighted means of windows of several strides', () => {
    const sums = strideSums(samples, 5, 12, 12, 3);
    const means = meansOfStrides(sums, 9, 12, 4);
    const weights = hannWeights(12);
    expect(means.length).toBe(9);
    for (const [window, mean] of means.entries()) {
      const expected = weights.reduce(
        (sum, w, k) => sum + w * (samples[5 + 3 * window + k] ?? 9),
        0,
      );
      expect(mean).toBeCloseTo(expected, 12);
    }
  });
});

describe('digital filters', () => {
  const rate = 1000;
  /** The frequency at which the analogue filter responds as the digital one does at f (bilinear transform). */
  const warped = (f: number) => (rate / Math.PI) * Math.tan((Math.PI * f) / rate);

  it('respond as the analogue ones at the warped frequency', () => {
    const [n, d] = [
      [2, 0.003, 1e-6],
      [1, 0.001, 4e-6],
    ] as const;
    for (const f of [0, 10, 100, 300, 450]) {
      const w = 2 * Math.PI * warped(f);
      const size = ([a, b, c]: readonly [number, number, number]) =>
        Math.hypot(a - c * w * w, b * w);
      expect(magnitude([bilinear(n, d, rate)], f, rate)).toBeCloseTo(size(n) / size(d), 9);
    }
    expect(magnitude([], 100, rate)).toBe(1);
  });

  it('agree exactly where that is asked, and at all frequencies warped about it', () => {
    const k = Math.tan((Math.PI * 50) / rate) / 50;
    for (const f of [5, 50, 200]) {
      const ratio = Math.tan((Math.PI * f) / rate) / k / 50;
      expect(magnitude([lowPass(50, rate)], f, rate)).toBeCloseTo(1 / Math.hypot(1, ratio), 9);
      expect(magnitude([highPass(50, rate)], f, rate)).toBeCloseTo(ratio / Math.hypot(1, ratio), 9);
      for (const order of [2, 4, 6])
        expect(magnitude(butterworth(order, 50, rate), f, rate)).toBeCloseTo(
          1 / Math.sqrt(1 + ratio ** (2 * order)),
          9,
        );
    }
    expect(butterworth(6, 50, rate).length).toBe(3);
  });

  it('do in time what their response says: the impulse’s transform', () => {
    const sections = [...butterworth(4, 120, rate), highPass(30, rate)];
    for (const count of [1, 2, 3]) {
      const impulse = new Float64Array(2000);
      impulse[0] = 1;
      const some = sections.slice(0, count);
      expect(filter(some, impulse)).toBe(impulse);
      for (const f of [20, 77, 300]) {
        let [re, im] = [0, 0];
        impulse.forEach((value, k) => {
          re += value * Math.cos((2 * Math.PI * f * k) / rate);
          im += value * Math.sin((2 * Math.PI * f * k) / rate);
        });
        expect(Math.hypot(re, im)).toBeCloseTo(magnitude(some, f, rate), 9);
      }
    }
  });

  it('of a section by hand', () => {
    // y[n] = 2x[n] + 3x[n-1] + 5x[n-2] - 0.5 y[n-1] - 0.25 y[n-2].
    const section = { b0: 2, b1: 3, b2: 5, a1: 0.5, a2: 0.25 };
    expect([...filter([section], of(1, 0, 0, 0))]).toEqual([2, 2, 3.5, -2.25]);
    expect([...filter([], of(1, 2))]).toEqual([1, 2]);
  });
});

describe('decimation', () => {
  it('keeps a constant at every place, and has a sample for each begun stretch', () => {
    for (const [length, factor] of [
      [100, 7],
      [98, 7],
      [3, 4],
    ] as const) {
      const slow = decimate({ samples: new Float64Array(length).fill(2), rate: 1000 }, factor, 20);
      expect(slow.length).toBe(Math.ceil(length / factor));
      for (const value of slow) expect(value).toBeCloseTo(2, 12);
    }
  });

  it('goes on at the first and the last value beyond the ends', () => {
    const step = Float64Array.from({ length: 60 }, (_, k) => (k < 30 ? 0 : 1));
    const long = Float64Array.from({ length: 2060 }, (_, k) => (k < 1030 ? 0 : 1));
    const whole = decimate({ samples: long, rate: 1000 }, 4, 40);
    const part = decimate({ samples: step, rate: 1000 }, 4, 40);
    for (const [k, value] of part.entries()) expect(value).toBeCloseTo(whole[k + 250] ?? 9, 12);
  });

  it('passes the band within 1e-4, and what folds into it 88 dB down', () => {
    const tone = (f: number) => (k: number) => Math.cos((2 * Math.PI * f * (k - 300)) / 1000);
    const largest = (f: number, expected: (k: number) => number) => {
      const samples = Float64Array.from({ length: 600 }, (_, k) => tone(f)(k));
      const slow = decimate({ samples, rate: 1000 }, 4, 40);
      return Math.max(
        ...[...slow.subarray(40, 110)].map((value, k) => Math.abs(value - expected(4 * (k + 40)))),
      );
    };
    for (const f of [0, 11, 25, 40]) expect(largest(f, tone(f))).toBeLessThan(1e-4);
    for (const f of [210, 230, 250, 270, 290, 460, 500])
      expect(largest(f, () => 0)).toBeLessThan(10 ** (-88 / 20));
    // Between band and stop it falls, by half in the middle.
    expect(largest(125, (k) => 0.5 * tone(125)(k))).toBeLessThan(1e-3);
    // As long as a Kaiser window needs to be: (90 - 8)/(2.285 · 2π · 0.17)/2 = 17 taps a side reach a pulse 16 samples off, and none farther.
    const pulse = new Float64Array(200);
    pulse[100] = 1;
    const answer = decimate({ samples: pulse, rate: 1000 }, 4, 40);
    const reach = Math.ceil((90 - 8) / (2.285 * 2 * Math.PI * 0.17) / 2);
    for (const [k, value] of answer.entries())
      if (Math.abs(4 * k - 100) > reach) expect(value).toBe(0);
      else if (Math.abs(4 * k - 100) < reach - 4) expect(value).not.toBe(0);
  });

  it('of nothing to leave out is a copy', () => {
    const samples = of(1, 2, 3);
    const same = decimate({ samples, rate: 10 }, 1, 1);
    expect(same).toEqual(samples);
    expect(same).not.toBe(samples);
  });
});

describe('edges between point samples', () => {
  const pulses = (period: number, count: number, width = period / 2) =>
    Float64Array.from({ length: count }, (_, k) => ((k + 0.25) % period < width ? 4 : 1));
  /** Swing 3; edges are counted, rising ones lie in `gap` of a sample. */
  const doubt = (bare: number, gap: number, count: number) =>
    (3 * (bare / 2) * gap) / Math.sqrt(6) / count;

  it('that keep step lie anywhere in a sample, in two places in half of one', () => {
    expect(meanDoubtOfEdges(pulses(10, 200))).toBeCloseTo(doubt(39, 1, 200), 12);
    // 10.5 samples a pulse: 200/10.5 = 19.05 pulses.
    const half = pulses(10.5, 200);
    let bare = 0;
    for (let k = 1; k < 200; k++) if (half[k] !== half[k - 1]) bare++;
    expect(meanDoubtOfEdges(half)).toBeCloseTo(doubt(bare, 1 / 2, 200), 12);
  });

  it('are none where fewer than four are bare, or most are split by a mean', () => {
    expect(meanDoubtOfEdges(pulses(10, 20))).toBe(0);
    expect(meanDoubtOfEdges(pulses(10, 24))).toBeGreaterThan(0);
    const split = (part: number) =>
      Float64Array.from({ length: 200 }, (_, k) =>
        k % 10 === 0 ? 2.5 : k % 10 < 5 ? 4 : k % 10 === 5 && Math.floor(k / 10) < part ? 2.5 : 1,
      );
    // 20 bare edges against 19 that are split, and then 19 against 20.
    expect(meanDoubtOfEdges(split(0))).toBeGreaterThan(0);
    expect(meanDoubtOfEdges(split(1))).toBe(0);
  });

  it('go by the pulses’ own period, told from the first to the last', () => {
    // Two pulses tell no period: the gap is taken as a whole sample.
    const two = Float64Array.from({ length: 60 }, (_, k) =>
      (k >= 10 && k < 20) || (k >= 33 && k < 44) ? 4 : 1,
    );
    expect(meanDoubtOfEdges(two)).toBeCloseTo(doubt(4, 1, 60), 12);
    // Three, 23 and 24 samples apart: a period of 23.5, so that the places lie half a sample apart.
    const three = Float64Array.from({ length: 90 }, (_, k) =>
      [10, 33, 57].some((at) => k >= at && k < at + 10) ? 4 : 1,
    );
    expect(meanDoubtOfEdges(three)).toBeCloseTo(doubt(6, 1, 90), 12);
    // Five: 0.5 of a sample is more than 1/4, and twice the period is whole.
    const five = Float64Array.from({ length: 130 }, (_, k) =>
      [10, 33, 57, 80, 104].some((at) => k >= at && k < at + 10) ? 4 : 1,
    );
    expect(meanDoubtOfEdges(five)).toBeCloseTo(doubt(10, 1 / 2, 130), 12);
  });

  it('that fall are edges too, and begin at the second sample', () => {
    const saw = Float64Array.from({ length: 200 }, (_, k) => (k % 10 === 1 ? 4 : 1));
    expect(meanDoubtOfEdges(saw)).toBeCloseTo(doubt(40, 1, 200), 12);
  });

  it('count from four fifths of the swing on', () => {
    const high = (size: number) =>
      Float64Array.from({ length: 200 }, (_, k) => (k === 50 ? 1 : k % 10 < 5 ? 0 : size));
    expect(meanDoubtOfEdges(high(0.81))).toBeGreaterThan(0);
    expect(meanDoubtOfEdges(high(0.79))).toBe(0);
    expect(meanDoubtOfEdges(of(2, 2, 2, 2, 2))).toBe(0);
  });
});

describe('noise of the quietest stretches, by hand', () => {
  const alternating = (length: number, size: number) =>
    Float64Array.from({ length }, (_, k) => (k % 2 ? size : 0));
  const quartile = normalQuantile(0.75);

  it('is the median difference over 0.674 √2, and over 0.81 of several stretches', () => {
    for (const length of [2, 10, 64, 127])
      expect(quietStretchNoise(alternating(length, 2), 0)).toBeCloseTo(
        2 / quartile / Math.SQRT2,
        12,
      );
    for (const length of [128, 640])
      expect(quietStretchNoise(alternating(length, 2), 0)).toBeCloseTo(
        2 / quartile / Math.SQRT2 / 0.81,
        12,
      );
    expect(quietStretchNoise(of(1), 0)).toBe(0);
    expect(quietStretchNoise(of(), 0)).toBe(0);
  });

  it('is that of the stretch at a tenth', () => {
    const stretches = (quiet: number) =>
      Float64Array.from({ length: 1280 }, (_, k) => (k % 2) * (k < 64 * quiet ? 1 : 7));
    // Of twenty the third quietest counts.
    expect(quietStretchNoise(stretches(3), 0)).toBeCloseTo(1 / quartile / Math.SQRT2 / 0.81, 9);
    expect(quietStretchNoise(stretches(2), 0)).toBeCloseTo(7 / quartile / Math.SQRT2 / 0.81, 9);
  });

  /** 64 samples of which the differences are so many of 0, then 1, then 2, in steps of `step`. */
  function stepped(step: number, zeros: number, ones: number): Float64Array {
    let level = 0;
    return Float64Array.from({ length: 64 }, (_, k) => {
      if (k > 0) level += step * (k <= zeros ? 0 : k <= zeros + ones ? 1 : 2) * (k % 2 ? 1 : -1);
      return level;
    });
  }
  const told = (border: number, below: number) =>
    border / normalQuantile((1 + below / 63) / 2) / Math.SQRT2;

  it('of rounded samples is told from the part below the border nearest to the median', () => {
    for (const step of [1, 0.2]) {
      expect(quietStretchNoise(stepped(step, 32, 31), step)).toBeCloseTo(told(0.5 * step, 32), 9);
      // Median 1: borders 0.5 and 1.5.
      expect(quietStretchNoise(stepped(step, 20, 43), step)).toBeCloseTo(told(0.5 * step, 20), 9);
      expect(quietStretchNoise(stepped(step, 5, 30), step)).toBeCloseTo(told(1.5 * step, 35), 9);
      expect(quietStretchNoise(stepped(step, 29, 20), step)).toBeCloseTo(told(0.5 * step, 29), 9);
    }
  });

  it('is none where 97 % of the differences are nothing', () => {
    expect(quietStretchNoise(stepped(1, 62, 1), 1)).toBe(0);
    expect(quietStretchNoise(stepped(1, 61, 2), 1)).toBeCloseTo(told(0.5, 61), 9);
  });
});

describe('the largest among noise, by hand', () => {
  it('lies between what noise alone makes and what it may have lowered', () => {
    // Of two: noise lowers by two, and makes less.
    expect(largestAmongNoise(10, 0.5, 1)).toEqual({ value: 10, standard: 0.5 });
    const raised = largestOfNormals(1e6) + 1;
    const { value, standard } = largestAmongNoise(10, 0.5, 1e6);
    expect(value + 2 * standard).toBeCloseTo(10 + 2 * 0.5, 12);
    expect(value - 2 * standard).toBeCloseTo(10 - raised * 0.5, 12);
  });
});

describe('the nearest course that goes one way, by hand', () => {
  it('pools what stands against it, by the upper median', () => {
    expect(monotoneMedians([3, 1, 2], 1)).toEqual([2, 2, 2]);
    expect(monotoneMedians([1, 4, 3, 2, 6], 1)).toEqual([1, 3, 3, 3, 6]);
    expect(monotoneMedians([6, 2, 3, 4, 1], -1)).toEqual([6, 3, 3, 3, 1]);
    expect(monotoneMedians([2, 1], 1)).toEqual([2, 2]);
    expect(monotoneMedians([5, 4, 3, 2, 1], 1)).toEqual([3, 3, 3, 3, 3]);
    expect(monotoneMedians([], 1)).toEqual([]);
  });
});
