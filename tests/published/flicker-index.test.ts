import { describe, expect, test } from 'vitest';
import { flickerIndex } from '../../harness/measure/metrics/flicker/flicker-index.ts';
import { modulation } from '../../harness/measure/metrics/flicker/modulation.ts';
import { figureOf, integrated, pulses, sampled } from '../measure/light-of.ts';

// Definitions: flicker index IEV 845-22-094 with note 3, modulation Wilkins, Veitch and Lehman 2010 (both confirmed).
// The closed forms are computed from the definitions (pure mathematics, checked there by numerical integration).

const sine = (m: number) => (t: number) => 1 + m * Math.sin(2 * Math.PI * 100 * t);
const triangle = (m: number) => (t: number) => {
  const phase = (100 * t) % 1;
  return 1 + m * (4 * Math.abs(phase - 0.5) - 1);
};
const sawtooth = (m: number) => (t: number) => 1 + m * (2 * ((100 * t) % 1) - 1);
const fullWave = (t: number) => Math.abs(Math.sin(2 * Math.PI * 50 * t));
const halfWave = (t: number) => Math.max(0, Math.sin(2 * Math.PI * 50 * t));

describe('flicker index and modulation agree with the closed forms', () => {
  const smooth: readonly [string, (t: number) => number, number, number][] = [
    ['sine, m = 1', sine(1), 1, 0.31831],
    ['sine, m = 0.2', sine(0.2), 0.2, 0.063662],
    ['triangle, m = 1', triangle(1), 1, 0.25],
    ['triangle, m = 0.4', triangle(0.4), 0.4, 0.1],
    ['sawtooth, m = 1', sawtooth(1), 1, 0.25],
    ['sawtooth, m = 0.4', sawtooth(0.4), 0.4, 0.1],
    ['full-wave rectified sine', fullWave, 1, 0.210514],
    ['half-wave rectified sine', halfWave, 1, 0.551102],
  ];
  for (const [name, light, percent, index] of smooth) {
    test(name, () => {
      const waveform = sampled(light, 200e3, 0.5);
      expect(Math.abs(figureOf(flickerIndex, waveform) - index)).toBeLessThan(1e-4);
      expect(Math.abs(figureOf(modulation, waveform) - percent)).toBeLessThan(2e-3);
    });
  }

  for (const duty of [0.01, 0.1, 0.25, 0.5, 0.9, 0.99]) {
    test(`pulses from dark, duty ${duty}: 1 - D and 100 %`, () => {
      const waveform = integrated(pulses(100, duty), 20e3, 0.5);
      expect(Math.abs(figureOf(flickerIndex, waveform) - (1 - duty))).toBeLessThan(1e-4);
      expect(figureOf(modulation, waveform)).toBeCloseTo(1, 6);
    });
  }

  test('pulses from 0.2 to 1, duty 0.25: 0.375 and 66.6667 %', () => {
    const waveform = integrated(pulses(100, 0.25, 0.2, 1), 20e3, 0.5);
    expect(Math.abs(figureOf(flickerIndex, waveform) - 0.375)).toBeLessThan(1e-4);
    expect(Math.abs(figureOf(modulation, waveform) - 0.666667)).toBeLessThan(1e-6);
  });

  test('square wave, m = 0.4: 0.2', () => {
    const waveform = integrated(pulses(100, 0.5, 0.6, 1.4), 20e3, 0.5);
    expect(Math.abs(figureOf(flickerIndex, waveform) - 0.2)).toBeLessThan(1e-4);
  });

  test('the record need not hold whole periods nor whole samples a period', () => {
    const waveform = sampled((t) => 1 + 0.5 * Math.sin(2 * Math.PI * 87.31 * t), 50e3, 0.1234);
    expect(Math.abs(figureOf(flickerIndex, waveform) - 0.5 / Math.PI)).toBeLessThan(1e-4);
  });
});
