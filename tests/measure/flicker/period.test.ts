import { describe, expect, test } from 'vitest';
import { ieee1789Limit } from '../../../harness/measure/features/flicker/ieee1789-limits.ts';
import { dominantFrequency } from '../../../harness/measure/metrics/flicker/dominant-frequency.ts';
import { ieee1789LowRisk } from '../../../harness/measure/metrics/flicker/ieee1789-fundamental.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import {
  figureOf,
  integrated,
  observing,
  outcomeOf,
  pulses,
  sampled,
  withNoise,
} from '../light-of.ts';

const tau = 2 * Math.PI;
const tones = (...list: readonly (readonly [number, number])[]) =>
  sampled(
    (t) => 1 + list.reduce((sum, [f, a], k) => sum + a * Math.sin(tau * f * t + k), 0),
    20e3,
    2,
  );
const limit = (frequency: number) => ieee1789Limit('low-risk', frequency);

function reach(waveform: Waveform, noise = 0) {
  const input = {
    standardScale: 0,
    standardOffset: 0,
    noise,
    timeBase: 0,
    step: waveform.step ?? 0,
  };
  const calibration = [{ capture: 'light', signal: 'light', of: 'light', ...input }] as const;
  const assessed = assess(ieee1789LowRisk, observing(ieee1789LowRisk, waveform), calibration, 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  const { value } = assessed.outcome;
  return { value, most: value + assessed.expanded, least: value - assessed.expanded };
}

describe('a weak tone at the mains beside another', () => {
  const beside = (amplitude: number) => reach(tones([250, 0.03], [50, amplitude]));

  test('may be pickup: it sets no period, and U holds that it does', () => {
    const { value, most } = beside(0.0065);
    // Both tones together, over the limit at 250 Hz and at 50 Hz (IEEE 1789 clause 8).
    expect(value).toBeCloseTo(0.0365 / limit(250), 2);
    expect(most).toBeGreaterThan(0.0365 / limit(50));
  });

  test('is the lamp’s where it is stronger than pickup', () => {
    expect(beside(0.009).value).toBeCloseTo(0.039 / limit(50), 1);
  });
});

describe('the whole waveform is held to the limit at the frequency of its period', () => {
  // Truths: the modulation of the tones' sum over the limit at the frequency of the common period (IEEE 1789 clause 8).
  test.each([
    [
      'of its slowest tone',
      50,
      [
        [100, 0.055],
        [50, 0.015],
      ],
    ],
    [
      'of its slowest tone',
      8.8,
      [
        [8.8, 0.03],
        [1300, 0.04],
      ],
    ],
    [
      'of a common period that is no tone itself',
      100,
      [
        [200, 0.05],
        [300, 0.05],
      ],
    ],
    [
      'of the slowest of unrelated tones',
      211.3,
      [
        [211.3, 0.05],
        [317.9, 0.05],
      ],
    ],
    ['of two and a half periods recorded', 1.25, [[1.25, 0.3]]],
  ] as const)('%s: %f Hz', (_, frequency, list) => {
    const waveform = tones(...list);
    const [low, high] = [Math.min(...waveform.samples), Math.max(...waveform.samples)];
    const truth = (high - low) / (high + low) / limit(frequency);
    expect(figureOf(ieee1789LowRisk, waveform) / truth).toBeCloseTo(1, 2);
  });

  test('flashes of one sample, and pulses whose harmonics are as strong, have their own rate', () => {
    for (const frequency of [20, 100, 400]) {
      const every = 20e3 / frequency;
      const flashes = sampled((t) => (Math.floor(t * 20e3) % every === 0 ? 1 : 0), 20e3, 1);
      expect(figureOf(ieee1789LowRisk, flashes) * limit(frequency)).toBeCloseTo(1, 3);
      expect(figureOf(dominantFrequency, flashes)).toBeCloseTo(frequency, 1);
    }
    const narrow = integrated(pulses(1000, 0.0333), 20e3, 1);
    expect(figureOf(ieee1789LowRisk, narrow)).toBeCloseTo(1 / limit(1000), 3);
    expect(figureOf(dominantFrequency, narrow)).toBeCloseTo(1000, 1);
  });

  test('a faint slower tone is within U', () => {
    const { value, most } = reach(tones([100, 0.055], [50, 0.0044]));
    expect(value).toBeLessThan(0.8);
    expect(most).toBeGreaterThan(0.0594 / limit(50));
    // What noise leaves of none is none.
    const alone = reach(withNoise(tones([100, 0.055]), 1e-3), 1e-3);
    expect(alone.most).toBeLessThan(1);
  });

  test('at 90 Hz U reaches the other side of the limit’s step', () => {
    for (const phase of [0, 1, 2]) {
      const { most, least } = reach(
        sampled((t) => 1 + 0.05 * Math.sin(tau * 90 * t + phase), 20e3, 1),
      );
      expect(most).toBeGreaterThan(0.05 / 0.0225);
      expect(least).toBeLessThan(0.05 / 0.072);
    }
  });

  test('what noise hides is within U', () => {
    for (let seed = 1; seed <= 5; seed++) {
      const hidden = sampled((t) => 1 + 0.003 * Math.sin(tau * 8.8 * t), 20e3, 1);
      expect(reach(withNoise(hidden, 0.03, seed), 0.03).most).toBeGreaterThan(0.003 / limit(8.8));
    }
  });

  test('codes hide half a code', () => {
    const flicker = sampled(
      (t) => Math.round(20 * (1 + 0.0249 * Math.sin(tau * 8.7 * t))),
      20e3,
      1,
    );
    expect(reach({ ...flicker, step: 1 }).most).toBeGreaterThan(0.0249 / limit(8.7));
  });
});

test('a drift has no dominant frequency, whatever its course', () => {
  const courses: readonly ((t: number) => number)[] = [
    (t) => 1 + 0.1 * t,
    (t) => 1 + 0.1 * t * t,
    (t) => 1 + 0.2 * Math.exp(-t / 0.2),
    (t) => 1 + 0.2 * Math.exp(-t / 0.02),
    (t) => 1 + 0.1 * Math.sqrt(t),
    (t) => (t < 0.7 ? 1 : 1.1),
  ];
  for (const course of courses) {
    const clean = sampled(course, 20e3, 2);
    for (const waveform of [clean, withNoise(clean, 1e-4), withNoise(clean, 3e-3)])
      expect(outcomeOf(dominantFrequency, waveform), String(course)).toMatchObject({
        reason: 'no-periodicity',
      });
  }
});
