import { expect, test } from 'vitest';
import { bandLimitedModulation } from '../../harness/measure/metrics/flicker/band-limited-modulation.ts';
import { figureOf, integrated, pulses, sampled, withNoise } from '../measure/light-of.ts';

// California Title 24, JA10.6 (procedure confirmed). Values computed from the Fourier series.

test('square wave at 150 Hz, cut at 200 Hz: only the fundamental is left, 127.3 %', () => {
  const waveform = integrated(pulses(150, 0.5), 30e3, 2);
  expect(figureOf(bandLimitedModulation, waveform)).toBeCloseTo(4 / Math.PI, 3);
});

test('square wave at 250 Hz, cut at 200 Hz: nothing is left', () => {
  const waveform = integrated(pulses(250, 0.5), 20e3, 2);
  expect(figureOf(bandLimitedModulation, waveform)).toBeLessThan(1e-5);
});

test('a component on the cut-off stays, the one above goes, whatever the record holds of a period', () => {
  const light = (t: number) =>
    1 + 0.2 * Math.cos(2 * Math.PI * 97.3 * t) + 0.3 * Math.cos(2 * Math.PI * 417.1 * t);
  const waveform = sampled(light, 20e3, 2.0371);
  expect(figureOf(bandLimitedModulation, waveform, { 'cut-off': 90 })).toBeLessThan(0.02);
  expect(figureOf(bandLimitedModulation, waveform, { 'cut-off': 200 })).toBeCloseTo(0.2, 1);
  const whole = sampled((t) => 1 + 0.2 * Math.cos(2 * Math.PI * 200 * t), 20e3, 2);
  expect(figureOf(bandLimitedModulation, whole, { 'cut-off': 200 })).toBeCloseTo(0.2, 3);
});

test('noise outside the band does not count, noise inside is taken off', () => {
  const clean = sampled((t) => 1 + 0.1 * Math.cos(2 * Math.PI * 100 * t), 20e3, 2);
  const figure = figureOf(bandLimitedModulation, withNoise(clean, 0.02), { 'cut-off': 200 });
  expect(Math.abs(figure - 0.1)).toBeLessThan(0.004);
});
