import { describe, expect, test } from 'vitest';
import { visibilityThreshold } from '../../../harness/measure/features/flicker/visibility-threshold.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { ieee1789LowRiskComponents } from '../../../harness/measure/metrics/flicker/ieee1789-components.ts';
import { shortTermLightModulation } from '../../../harness/measure/metrics/flicker/short-term-light-modulation.ts';
import { stroboscopicVisibility } from '../../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { observing, sampled, withNoise } from '../light-of.ts';

const tau = 2 * Math.PI;
const tones = (...list: readonly (readonly [number, number])[]) =>
  sampled((t) => list.reduce((x, [f, a], k) => x + a * Math.sin(tau * f * t + k), 1), 20e3, 2);
const coded = (waveform: Waveform, codes: number): Waveform => ({
  ...waveform,
  step: 1,
  samples: waveform.samples.map((value) => Math.round(value * codes)),
});

function reach(metric: Metric, waveform: Waveform, noise = 0) {
  const input = {
    standardScale: 0,
    standardOffset: 0,
    noise,
    timeBase: 0,
    step: waveform.step ?? 0,
  };
  const calibration = [{ capture: 'light', signal: 'light', of: 'light', ...input }] as const;
  const assessed = assess(metric, observing(metric, waveform), calibration, 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  const { value } = assessed.outcome;
  return { value, most: value + assessed.expanded, least: value - assessed.expanded };
}

describe('SVM', () => {
  const of = (frequency: number, depth: number) =>
    depth / visibilityThreshold('tr63158', frequency);

  test('of two tones that the record does not tell apart: U holds both of them and the sum', () => {
    for (const apart of [0.3, 0.6, 1.2]) {
      const { most, least } = reach(
        stroboscopicVisibility,
        tones([103, 0.05], [103 + apart, 0.05]),
      );
      const truth = (2 * of(103, 0.05) ** 3.7) ** (1 / 3.7);
      expect(most).toBeGreaterThan(truth);
      expect(least).toBeLessThan(truth);
    }
  });

  test('of a tone on the edge of the band: U holds it in and out', () => {
    const { most, least } = reach(stroboscopicVisibility, tones([80, 0.05]));
    expect(most).toBeGreaterThan(of(80, 0.05) * 0.999);
    expect(least).toBeLessThanOrEqual(0);
  });

  test('of codes and noise that hide 120 Hz', () => {
    const hidden = tones([121.3, 0.006]);
    expect(reach(stroboscopicVisibility, coded(hidden, 65)).most).toBeGreaterThan(of(121.3, 0.006));
    let above = 0;
    for (let seed = 1; seed <= 6; seed++) {
      const { most } = reach(stroboscopicVisibility, withNoise(hidden, 0.1, seed), 0.1);
      if (most < of(121.3, 0.006)) above++;
    }
    expect(above).toBeLessThanOrEqual(1);
  });
});

test('two tones about the end of the practice’s band: U holds the one that is limited', () => {
  const { most } = reach(ieee1789LowRiskComponents, tones([1249.8, 0.5], [1251, 0.5]));
  expect(most).toBeGreaterThan(0.5);
});

test('what point samples fold down is within U', () => {
  const points = sampled((t) => ((t * 400.7) % 1 < 0.01 ? 1 : 0), 20e3, 1);
  const { least, most } = reach(ieee1789LowRiskComponents, points);
  // Fourier series of pulses: 2 sin(π D)/(π D) of the mean at 400.7 Hz.
  const truth = (2 * Math.sin(Math.PI * 0.01)) / (Math.PI * 0.01) / (400.7 * 0.0008);
  expect(least).toBeLessThan(truth);
  expect(most).toBeGreaterThan(truth);
});

describe('PstLM', () => {
  const slow = (depth: number) => sampled((t) => 1 + depth * Math.sin(tau * 8.8 * t), 2e3, 180);

  test('of steady light under noise is 0 within U', () => {
    for (const seed of [1, 2]) {
      const { value, least } = reach(
        shortTermLightModulation,
        withNoise(slow(0), 0.01, seed),
        0.01,
      );
      expect(value).toBeGreaterThan(0.3);
      expect(least).toBeLessThan(0);
    }
  });

  test('reaches what noise does not add, and what half a code hides', () => {
    const alone = reach(shortTermLightModulation, slow(0.00443)).value;
    const noisy = reach(shortTermLightModulation, withNoise(slow(0.00443), 0.01), 0.01);
    expect(noisy.least).toBeLessThan(alone);
    expect(noisy.most).toBeGreaterThan(alone);
    const hidden = reach(shortTermLightModulation, coded(slow(0.00443), 100));
    expect(hidden.most).toBeGreaterThan(alone);
  });
});
