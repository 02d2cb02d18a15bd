import { describe, expect, it } from 'vitest';
import { findMetric } from '../../harness/measure/metrics.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import { seededNoise } from '../../harness/measure/signal/seeded-noise.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { recorded } from '../measure/recorded.ts';

/**
 * Sampling rates from 2 kS/s to 1 MS/s, records from 0.1 s to 200 s, light from 1 % of the range to all of it: the error
 * of a 100 Hz sine stays within the stated uncertainty, or the metric refuses. True values are closed forms.
 */
const range = 1000;
const depth = 0.3;
const noise = 0.02;
const truths: Readonly<Record<string, number>> = {
  modulation: depth,
  // Area above the mean of a sine over the whole: depth / π.
  'flicker-index': depth / Math.PI,
  'dominant-frequency': 100,
  svm: depth / (2.865e-5 * 100 ** 1.543 + 0.225),
};

function sine(rate: number, length: number, mean: number): Observation {
  const normal = seededNoise(rate + length + mean);
  const samples = Float32Array.from({ length: Math.round(rate * length) }, (_, k) => {
    const value = mean * (1 + depth * Math.sin(2 * Math.PI * 100 * ((k + 0.5) / rate)));
    return Math.round((value + noise * normal()) / 0.01) * 0.01;
  });
  return {
    of: 'light',
    window: { from: 0, to: samples.length / rate },
    records: [
      recorded('light', 'light', {
        samples,
        rate,
        start: 0,
        unit: 'lx',
        clipped: 0,
        range: { low: 0, high: range },
        step: 0.01,
      }),
    ],
    colour: [],
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: length,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: { curve: 'tr63158' },
  };
}

describe('a 100 Hz sine', () => {
  it.each([
    [2000, 0.1],
    [2000, 1],
    [2000, 200],
    [10_000, 0.1],
    [10_000, 1],
    [100_000, 0.5],
    [1_000_000, 0.1],
  ])('at %d S/s for %d s is measured within its uncertainty, or refused', (rate, length) => {
    let figures = 0;
    for (const part of [0.01, 0.1, 0.75]) {
      const observation = sine(rate, length, part * range);
      for (const [id, truth] of Object.entries(truths)) {
        const calibration = {
          capture: 'light',
          signal: 'light' as const,
          of: 'light',
          standardScale: 0.01,
          standardOffset: 0.001,
          noise,
          timeBase: 1e-5,
          step: 0.01,
        };
        const assessed = assess(findMetric(id)!, observation, [calibration], 2);
        if (!('expanded' in assessed)) continue;
        figures++;
        const error = Math.abs(assessed.outcome.value - truth);
        // Three standard uncertainties: with 80 figures one in twenty would else lie outside by right.
        expect(error, `${id} at ${part} of the range`).toBeLessThanOrEqual(1.5 * assessed.expanded);
      }
    }
    // The test can fail: at every point at least modulation is a figure.
    expect(figures).toBeGreaterThanOrEqual(3);
  });
});
