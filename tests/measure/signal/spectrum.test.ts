import { describe, expect, test } from 'vitest';
import { analysisOf } from '../../../harness/measure/analysis/analysis.ts';
import { windowed } from '../../../harness/measure/analysis/waveform-part.ts';
import { realFft } from '../../../harness/measure/signal/real-fft.ts';
import { mainLobe, windowFunction } from '../../../harness/measure/signal/window-function.ts';
import { sampled, withNoise } from '../light-of.ts';

describe('a lone tone of at least 20 periods', () => {
  test('has its amplitude within 0.5 % and its frequency within a hundredth of a bin, wherever it lies', () => {
    let worst = 0;
    for (const rate of [2e3, 20e3, 250e3]) {
      for (const periods of [20, 20.13, 33.5, 47.77, 123.456]) {
        for (const cycles of [0.003, 0.0217, 0.11, 0.31]) {
          const frequency = cycles * rate;
          const seconds = periods / frequency;
          const light = (t: number) => 1 + 0.3 * Math.cos(2 * Math.PI * frequency * t + 1);
          const waveform = sampled(light, rate, seconds);
          if (waveform.samples.length < 40) continue;
          const { dominant, spectrum } = analysisOf(waveform);
          const error = Math.abs((dominant?.amplitude ?? 0) / 0.3 - 1);
          worst = Math.max(worst, error);
          expect(error, `${frequency} Hz, ${periods} periods at ${rate} S/s`).toBeLessThan(0.005);
          expect(Math.abs((dominant?.frequency ?? 0) - frequency)).toBeLessThan(
            0.01 * spectrum.step,
          );
        }
      }
    }
    expect(worst).toBeGreaterThan(0);
  });

  test('is seen whole although it wanders by a few bins, as mains does', () => {
    const phase = (t: number) => 100 * t + 0.02 * Math.sin(2 * Math.PI * t * 0.05) * 4;
    const waveform = sampled((t) => 1 + 0.1 * Math.cos(2 * Math.PI * phase(t)), 4e3, 60);
    expect(analysisOf(waveform).dominant?.amplitude).toBeCloseTo(0.1, 3);
  });
});

test('white noise has the floor it should have, and no lines', () => {
  for (const [rate, seconds] of [
    [20e3, 1],
    [20e3, 40],
    [2e3, 0.5],
  ] as const) {
    for (let seed = 1; seed <= 5; seed++) {
      const waveform = withNoise(
        sampled(() => 1, rate, seconds),
        0.01,
        seed,
      );
      const { floor, lines, noise } = analysisOf(waveform);
      expect(lines).toEqual([]);
      expect(floor.rms / 0.01).toBeGreaterThan(0.8);
      expect(floor.rms / 0.01).toBeLessThan(1.25);
      expect(noise / 0.01).toBeGreaterThan(0.75);
      expect(noise / 0.01).toBeLessThan(1.1);
    }
  }
});

test('noise is told from pulses, ramps and sines, in short records too', () => {
  const lights: readonly ((t: number) => number)[] = [
    (t) => ((t * 100) % 1 < 0.3 ? 1 : 0.1),
    (t) => 1 + ((t * 100) % 1),
    (t) => 1 + 0.5 * Math.sin(2 * Math.PI * 173 * t),
  ];
  for (const light of lights) {
    for (const seconds of [0.1, 1]) {
      const clean = sampled(light, 20e3, seconds);
      expect(analysisOf(clean).noise).toBeLessThan(2e-4);
      const noisy = analysisOf(withNoise(clean, 0.01)).noise;
      expect(noisy).toBeGreaterThan(0.006);
      expect(noisy).toBeLessThan(0.0125);
    }
  }
});

test('the mean is free of the period that the record cuts off', () => {
  const waveform = sampled((t) => 3 + Math.sin(2 * Math.PI * 87.3 * t), 20e3, 1);
  expect(analysisOf(waveform).spectrum.mean).toBeCloseTo(3, 5);
});

test('one record is analysed once, and a window of it by itself', () => {
  const waveform = sampled(
    (t) => 1 + 0.5 * Math.sin(2 * Math.PI * (t < 0.5 ? 100 : 400) * t),
    8e3,
    1,
  );
  const first = windowed(waveform, 0, 0.5);
  expect(analysisOf(waveform)).toBe(analysisOf({ ...waveform, start: 3 }));
  expect(analysisOf(first)).toBe(analysisOf(windowed(waveform, 0, 0.5)));
  expect(analysisOf(first).dominant?.frequency).toBeCloseTo(100, 1);
  expect(analysisOf(windowed(waveform, 0.5, 1)).dominant?.frequency).toBeCloseTo(400, 1);
  expect(analysisOf({ ...first, rate: 16e3 }).dominant?.frequency).toBeCloseTo(200, 1);
});

test('side lobes of the Blackman-Harris window lie below -92 dB (Harris 1978), its gains are the known ones', () => {
  const { weights, coherentGain, power } = windowFunction('blackman-harris', 64);
  // Zeros around the window show its spectrum between the bins.
  const padded = new Float64Array(64 * 32);
  padded.set(weights);
  const { re, im } = realFft(padded.length).forward(padded);
  const top = Math.hypot(re[0]!, im[0]!);
  for (let k = mainLobe['blackman-harris'] * 32; k < re.length; k++) {
    expect(20 * Math.log10(Math.hypot(re[k]!, im[k]!) / top)).toBeLessThan(-91.9);
  }
  expect(coherentGain).toBeCloseTo(0.35875, 10);
  // Equivalent noise bandwidth 2.004 bins.
  expect(power / coherentGain ** 2).toBeCloseTo(2.0044, 3);
});
