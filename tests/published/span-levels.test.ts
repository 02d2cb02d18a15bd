import { describe, expect, it } from 'vitest';
import { findMetric } from '../../harness/measure/metrics.ts';
import type { Observation, Segment } from '../../harness/measure/observation.ts';
import { seededNoise } from '../../harness/measure/signal/seeded-noise.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { recorded } from '../measure/recorded.ts';

/**
 * Levels and fades at sampling rates from 2 kS/s to 1 MS/s, records of 1 s to 200 s and light from 1 % of the range to
 * three quarters of it: the error stays within the stated uncertainty, or the metric refuses. The light is made in closed
 * form (geometric fade between two plateaus), integrated over each sample to first order; no modulator.
 */
const range = 1000;
const noise = 0.02;
const step = 0.01;
const bottom = 0.01;

/** Full light, a fade down to 1 % from 25 % to 75 % of the record, and the plateau after it. */
function fade(rate: number, length: number, full: number): Observation {
  const [from, to] = [0.25 * length, 0.75 * length];
  const levelAt = (at: number): number =>
    at <= from ? 1 : at >= to ? bottom : bottom ** ((at - from) / (to - from));
  const normal = seededNoise(rate + length + full);
  const samples = Float32Array.from({ length: Math.round(rate * length) }, (_, k) => {
    const value = full * levelAt((k + 0.5) / rate) + noise * normal();
    return Math.round(value / step) * step;
  });
  const segments: Segment[] = [
    { from: 0, to: from, startLevel: 1, endLevel: 1 },
    { from, to, startLevel: 1, endLevel: bottom },
    { from: to, to: length, startLevel: bottom, endLevel: bottom },
  ];
  const waveform = {
    samples,
    rate,
    start: 0,
    unit: 'lx',
    clipped: 0,
    range: { low: -range, high: range },
    step,
  };
  const channel = {
    channel: 'warm',
    lumen: 100,
    xy: [0.4, 0.4] as const,
    maxCurrent: 0.5,
    segments,
  };
  return {
    of: 'light',
    window: { from: 0, to: length },
    records: [recorded('light', 'light', waveform)],
    colour: [],
    frames: [],
    commanded: {
      channels: [channel],
      marks: [],
      duration: length,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: {},
  };
}

/** Metric, window and reference as parts of the record, and the true value for a record of `length` s. */
const cases: readonly {
  readonly id: string;
  readonly window: readonly [number, number];
  readonly reference?: readonly [number, number];
  readonly truth: (length: number) => number;
}[] = [
  { id: 'level-ratio', window: [0.8, 1], reference: [0, 0.2], truth: () => bottom },
  { id: 'level-error', window: [0.8, 1], reference: [0, 0.2], truth: () => 0 },
  { id: 'fade-duration', window: [0, 1], truth: (length) => 0.5 * length },
];

describe('levels and a fade', () => {
  it.each([
    [2000, 1],
    [2000, 20],
    [2000, 200],
    [10_000, 1],
    [10_000, 10],
    [100_000, 1],
    [1_000_000, 1],
  ])('at %d S/s for %d s are measured within their uncertainty, or refused', (rate, length) => {
    let figures = 0;
    for (const part of [0.01, 0.1, 0.75]) {
      const observed = fade(rate, length, part * range);
      for (const { id, window, reference, truth } of cases) {
        const cut = ([a, b]: readonly [number, number]) => ({ from: a * length, to: b * length });
        const observation: Observation = {
          ...observed,
          window: cut(window),
          ...(reference ? { reference: cut(reference) } : {}),
        };
        const calibration = {
          capture: 'light',
          signal: 'light' as const,
          of: 'light',
          standardScale: 0.01,
          standardOffset: 0.001,
          noise,
          timeBase: 1e-5,
          step,
        };
        const assessed = assess(findMetric(id)!, observation, [calibration], 2);
        if (!('expanded' in assessed)) continue;
        figures++;
        const error = Math.abs(assessed.outcome.value - truth(length));
        // Three standard uncertainties: with 60 figures one in twenty would else lie outside by right.
        expect(error, `${id} at ${part} of the range`).toBeLessThanOrEqual(1.5 * assessed.expanded);
      }
    }
    // The test can fail: at most points all three are figures.
    expect(figures).toBeGreaterThanOrEqual(6);
  });
});
