import { describe, expect, it } from 'vitest';
import {
  hannMeanOfFunction,
  hannMeanOfSamples,
  hannNoise,
  hannWeights,
} from '../../../harness/measure/signal/hann.ts';
import { windowFunction } from '../../../harness/measure/signal/window-function.ts';

describe('windows for spectra', () => {
  it.each([
    // Values at 0, an eighth, a quarter and half of the window (Harris 1978): from the sums of cosines by hand.
    ['rectangular', [1, 1, 1, 1], 1, 1],
    ['hann', [0, 0.5 - 0.25 * Math.SQRT2, 0.5, 1], 0.5, 0.375],
    [
      'blackman-harris',
      [6e-5, 0.35875 - 0.48829 * Math.SQRT1_2 + 0.01168 * Math.SQRT1_2, 0.21747, 1],
      0.35875,
      // a0² + (a1² + a2² + a3²)/2.
      0.35875 ** 2 + (0.48829 ** 2 + 0.14128 ** 2 + 0.01168 ** 2) / 2,
    ],
  ] as const)('%s', (name, [start, eighth, quarter, middle], coherentGain, power) => {
    const found = windowFunction(name, 64);
    const { weights } = found;
    expect(weights.length).toBe(64);
    for (const [place, value] of [
      [0, start],
      [8, eighth],
      [16, quarter],
      [32, middle],
      [48, quarter],
      [56, eighth],
    ] as const)
      expect(weights[place], `${place}`).toBeCloseTo(value, 12);
    expect(found.coherentGain).toBeCloseTo(coherentGain, 12);
    expect(found.power).toBeCloseTo(power, 12);
  });
});

describe('Hann-weighted means', () => {
  it('have weights 1 - cos at the middles of the samples, of sum 1', () => {
    const weights = hannWeights(4);
    const [edge, inner] = [(1 - Math.SQRT1_2) / 4, (1 + Math.SQRT1_2) / 4];
    for (const [k, expected] of [edge, inner, inner, edge].entries())
      expect(weights[k]).toBeCloseTo(expected, 14);
    for (const count of [2, 3, 7, 100])
      expect(hannWeights(count).reduce((sum, each) => sum + each)).toBeCloseTo(1, 12);
    expect([...hannWeights(1)]).toEqual([1]);
    expect([...hannWeights(0)]).toEqual([]);
  });

  it('of white noise scatter by the root of the squared weights: √1.5/√n', () => {
    const squares = hannWeights(1000).reduce((sum, each) => sum + each * each, 0);
    expect(hannNoise).toBeCloseTo(Math.sqrt(1000 * squares), 12);
  });

  it.each([1, 2, 3, 511, 512, 513, 2000])('of %s samples are the weighted sum', (length) => {
    const samples = Float64Array.from({ length }, (_, k) => Math.sin(k * k));
    const weights = hannWeights(length);
    const expected = samples.reduce((sum, each, k) => sum + each * (weights[k] ?? 0), 0);
    expect(hannMeanOfSamples(samples)).toBeCloseTo(expected, 13);
  });

  it('of nothing is no number', () => {
    expect(hannMeanOfSamples(new Float64Array(0))).toBeNaN();
  });

  it('of a function of time: constants, slopes and the window’s own cosine', () => {
    expect(hannMeanOfFunction(() => 3, 5, 2)).toBeCloseTo(3, 12);
    expect(hannMeanOfFunction((t) => 2 * t, 5, 2)).toBeCloseTo(10, 12);
    // ∫ (1 + cos 2πx) cos 2πx over one period is half of it.
    expect(hannMeanOfFunction((t) => Math.cos(Math.PI * (t - 5)), 5, 2)).toBeCloseTo(0.5, 12);
    // Second moment of the window: (1/12 - 1/(2π²)) width².
    const moment = hannMeanOfFunction((t) => (t - 5) ** 2, 5, 2);
    expect(moment / (4 * (1 / 12 - 1 / (2 * Math.PI ** 2)))).toBeCloseTo(1, 2);
  });
});
