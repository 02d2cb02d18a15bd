import { describe, expect, test } from 'vitest';
import { ieee1789Limit } from '../../harness/measure/features/flicker/ieee1789-limits.ts';
import { ieee1789LowRiskComponents } from '../../harness/measure/metrics/flicker/ieee1789-components.ts';
import {
  ieee1789LowRisk,
  ieee1789NoEffect,
} from '../../harness/measure/metrics/flicker/ieee1789-fundamental.ts';
import { figureOf, integrated, pulses, sampled } from '../measure/light-of.ts';

// IEEE Std 1789-2015, recommended practices 1 and 2: limits from memory, rows computed from them.

const rows: readonly (readonly [number, number, number])[] = [
  [8.8, 0.22, 0.088],
  [30, 0.75, 0.3],
  [60, 1.5, 0.6],
  [89.99, 2.25, 0.9],
  [90, 7.2, 2.997],
  [100, 8, 3.33],
  [120, 9.6, 3.996],
  [240, 19.2, 7.992],
  [500, 40, 16.65],
  [1000, 80, 33.3],
  [1250, 100, 41.6],
];

describe('limits in per cent', () => {
  for (const [frequency, low, none] of rows) {
    test(`${frequency} Hz: ${low} % and ${none} %`, () => {
      expect(Math.abs(100 * ieee1789Limit('low-risk', frequency) - low)).toBeLessThan(0.001);
      expect(Math.abs(100 * ieee1789Limit('no-effect', frequency) - none)).toBeLessThan(0.03);
    });
  }

  test('90 Hz belongs to the upper branch, and beyond the band nothing is limited', () => {
    expect(ieee1789Limit('low-risk', 90) / ieee1789Limit('low-risk', 89.9999)).toBeGreaterThan(3);
    expect(ieee1789Limit('low-risk', 1250.1)).toBe(Infinity);
    expect(ieee1789Limit('no-effect', 3000)).toBeCloseTo(0.999, 6);
    expect(ieee1789Limit('no-effect', 3000.1)).toBe(Infinity);
  });
});

test('a sine on the limit uses all of it, one beyond the band nothing', () => {
  const at = (frequency: number, m: number) =>
    sampled((t) => 1 + m * Math.sin(2 * Math.PI * frequency * t), 48e3, 1);
  expect(figureOf(ieee1789LowRisk, at(120, 0.096))).toBeCloseTo(1, 2);
  expect(figureOf(ieee1789NoEffect, at(120, 0.03996))).toBeCloseTo(1, 2);
  expect(figureOf(ieee1789LowRisk, at(60, 0.03))).toBeCloseTo(2, 2);
  expect(figureOf(ieee1789LowRisk, at(1300, 0.9))).toBe(0);
  expect(figureOf(ieee1789NoEffect, at(1300, 0.9))).toBeCloseTo(0.9 / (1300 * 0.000333), 1);
});

test('the whole waveform counts at its fundamental; components count by themselves', () => {
  // Square wave, 5 % modulation at 100 Hz: 0.05/0.08 whole; its fundamental alone is 4/π of that.
  const square = integrated(pulses(100, 0.5, 0.95, 1.05), 20e3, 1);
  expect(figureOf(ieee1789LowRisk, square)).toBeCloseTo(0.625, 4);
  expect(figureOf(ieee1789LowRiskComponents, square)).toBeCloseTo((4 / Math.PI) * 0.625, 3);
  // 100 Hz beside a seven times stronger 1 kHz: the waveform repeats every 10 ms, with all of its modulation.
  const mixed = sampled(
    (t) => 1 + 0.7 * Math.sin(2000 * Math.PI * t) + 0.1 * Math.sin(200 * Math.PI * t),
    20e3,
    1,
  );
  expect(figureOf(ieee1789LowRisk, mixed)).toBeCloseTo(0.8 / 0.08, 0);
  expect(figureOf(ieee1789LowRiskComponents, mixed)).toBeCloseTo(0.1 / 0.08, 3);
});
