import { describe, expect, test } from 'vitest';
import {
  contrastSensitivity,
  streakThreshold,
} from '../../harness/measure/features/flicker/streak-sensitivity.ts';
import { phantomArray } from '../../harness/measure/metrics/flicker/phantom-array.ts';
import { figureOf, outcomeOf, sampled, withNoise } from '../measure/light-of.ts';

const rate = 100_000;
const sine = (m: number, f: number, seconds = 0.2) =>
  sampled((t) => 1 + m * Math.sin(2 * Math.PI * f * t), rate, seconds);

describe('contrast sensitivity', () => {
  test("is Barten's formula of 2004 (from memory) at 10 cycles a degree, 1000 cd/m², by hand 465.5", () => {
    expect(contrastSensitivity(10)).toBeCloseTo(465.5, 0);
  });

  test('has its peak of some hundreds at a few cycles a degree, and is gone at 60', () => {
    const all = Array.from({ length: 240 }, (_, k) => 0.25 * (k + 1));
    const best = all.reduce((a, b) => (contrastSensitivity(b) > contrastSensitivity(a) ? b : a));
    expect(best).toBeGreaterThan(1.5);
    expect(best).toBeLessThan(6);
    expect(contrastSensitivity(60)).toBeLessThan(1);
  });
});

describe('phantom array', () => {
  test('is 1 for a sine at the threshold of its streak, and in proportion', () => {
    for (const frequency of [1200, 5000, 12_000]) {
      const m = streakThreshold(frequency, 500);
      expect(figureOf(phantomArray, sine(m, frequency))).toBeCloseTo(1, 2);
      expect(figureOf(phantomArray, sine(10 * m, frequency))).toBeCloseTo(10, 1);
    }
  });

  test('leaves slower and faster light to others', () => {
    expect(figureOf(phantomArray, sine(0.2, 500))).toBeLessThan(0.05);
    expect(figureOf(phantomArray, sine(0.2, 20_000))).toBeLessThan(0.05);
  });

  test('does not call a noisy record clean: the floor holds what may hide in it', () => {
    const outcome = outcomeOf(phantomArray, withNoise(sine(0, 5000), 0.1));
    if (!outcome.measured) throw new Error(outcome.reason);
    expect(outcome.floor).toBeGreaterThan(1);
  });

  test('refuses a record that is too slow for the band', () => {
    const slow = sampled(() => 1, 20_000, 1);
    const outcome = outcomeOf(phantomArray, slow);
    expect(outcome.measured ? '' : outcome.reason).toBe('too-slow');
  });
});
