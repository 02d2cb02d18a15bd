import { describe, expect, test } from 'vitest';
import { cameraBandContrast } from '../../harness/measure/metrics/camera/camera-band-contrast.ts';
import { cameraBandSweep } from '../../harness/measure/metrics/camera/camera-band-sweep.ts';
import { figureOf, integrated, pulses, sampled } from '../measure/light-of.ts';

// Boxcar exposure: computed from the definition and checked by brute force; no standard.

describe('contrast of pulses from dark', () => {
  const rows = [
    [100, 60, 0.5, 0.2],
    [120, 50, 0.5, 0.166667],
    [100, 125, 0.5, 0.25],
    [1000, 1500, 0.5, 0.5],
    [1000, 300, 0.1, 0.142857],
    [4000, 8000, 0.1, 1],
    [20000, 8000, 0.1, 0.2],
    [2500, 1000, 0.25, 0.2],
    [500, 120, 0.2, 0.09434],
  ] as const;
  for (const [frequency, perSecond, duty, expected] of rows) {
    test(`${frequency} Hz, 1/${perSecond} s, duty ${duty}: ${expected}`, () => {
      // A whole number of samples a period, and the edges of the pulses between samples.
      const rate = frequency * Math.ceil(200e3 / frequency / 40) * 40;
      const waveform = integrated(pulses(frequency, duty), rate, 0.1);
      const parameters = { exposure: 1 / perSecond, 'frame-rate': 25 };
      const found = figureOf(cameraBandContrast, waveform, parameters);
      expect(Math.abs(found - expected)).toBeLessThan(5e-6);
    });
  }
});

describe('contrast of a sine is its modulation times |sin πfT / πfT|', () => {
  const exposures = [30, 50, 60, 100, 120, 125, 250, 500, 1000, 2000] as const;
  const rows = [
    [100, [0.0827, 0, 0.1654, 0, 0.191, 0.2339, 0.7568, 0.9355, 0.9836, 0.9959]],
    [120, [0, 0.1261, 0, 0.1559, 0, 0.0416, 0.6618, 0.9079, 0.9765, 0.9941]],
    [500, [0.0165, 0, 0.0331, 0, 0.0382, 0, 0, 0, 0.6366, 0.9003]],
    [1000, [0.0083, 0, 0.0165, 0, 0.0331, 0, 0, 0, 0, 0.6366]],
  ] as const;
  for (const [frequency, row] of rows) {
    test(`${frequency} Hz`, () => {
      const waveform = sampled((t) => 1 + Math.sin(2 * Math.PI * frequency * t), 200e3, 0.15);
      exposures.forEach((perSecond, column) => {
        const parameters = { exposure: 1 / perSecond, 'frame-rate': 25 };
        const found = figureOf(cameraBandContrast, waveform, parameters);
        expect(Math.abs(found - (row[column] ?? Number.NaN)), `1/${perSecond} s`).toBeLessThan(
          2e-4,
        );
      });
    });
  }
});

test('the sweep finds the exposure with the worst bands', () => {
  const waveform = sampled((t) => 1 + 0.5 * Math.sin(2 * Math.PI * 100 * t), 40e3, 0.2);
  // Worst at the shortest exposure: 0.5 sinc(100/2000).
  expect(figureOf(cameraBandSweep, waveform)).toBeCloseTo(0.5 * 0.9959, 3);
  // From 1/50 s upwards the worst is 1/30 s or 1/24 s: |sinc(100/24)| = 0.0382 against 0.0827.
  const found = figureOf(cameraBandSweep, waveform, { 'shortest-exposure': 1 / 50 });
  expect(found).toBeCloseTo(0.5 * 0.0827, 3);
});
