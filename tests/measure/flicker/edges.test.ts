import { describe, expect, test } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { cameraBandContrast } from '../../../harness/measure/metrics/camera/camera-band-contrast.ts';
import { cameraBandSweep } from '../../../harness/measure/metrics/camera/camera-band-sweep.ts';
import { bandLimitedModulation } from '../../../harness/measure/metrics/flicker/band-limited-modulation.ts';
import { dominantFrequency } from '../../../harness/measure/metrics/flicker/dominant-frequency.ts';
import { flickerIndex } from '../../../harness/measure/metrics/flicker/flicker-index.ts';
import {
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
} from '../../../harness/measure/metrics/flicker/ieee1789-components.ts';
import {
  ieee1789LowRisk,
  ieee1789NoEffect,
} from '../../../harness/measure/metrics/flicker/ieee1789-fundamental.ts';
import { modulation } from '../../../harness/measure/metrics/flicker/modulation.ts';
import { shortTermLightModulation } from '../../../harness/measure/metrics/flicker/short-term-light-modulation.ts';
import { stroboscopicVisibility } from '../../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
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

const family: readonly Metric[] = [
  modulation,
  flickerIndex,
  dominantFrequency,
  ieee1789LowRisk,
  ieee1789NoEffect,
  ieee1789LowRiskComponents,
  ieee1789NoEffectComponents,
  stroboscopicVisibility,
  shortTermLightModulation,
  bandLimitedModulation,
  cameraBandContrast,
  cameraBandSweep,
];

/** Long and fast enough for the metric: PstLM alone needs minutes. */
const recordFor = (metric: Metric, light: (t: number) => number): Waveform =>
  metric.id === 'pst-lm' ? sampled(light, 2e3, 180) : sampled(light, 20e3, 2);
const flickerFor = (metric: Metric): Waveform =>
  recordFor(metric, (t) => 1 + 0.5 * Math.sin(2 * Math.PI * 100 * t));

function reasonOf(metric: Metric, waveform: Waveform): string {
  const outcome = outcomeOf(metric, waveform);
  return outcome.measured ? `a number: ${outcome.value}` : outcome.reason;
}

/** The record with one sample set to something else. */
function spoilt(flicker: Waveform, value: number): Waveform {
  const samples = flicker.samples.slice();
  samples[12_345] = value;
  return { ...flicker, samples };
}

describe('a record that cannot be trusted is never given a number', () => {
  for (const metric of family) {
    test(metric.id, () => {
      const flicker = flickerFor(metric);
      const nan = spoilt(flicker, Number.NaN);
      const infinite = spoilt(flicker, Number.NEGATIVE_INFINITY);
      const negative = { ...flicker, samples: flicker.samples.map((v) => v - 1.2) };
      expect(reasonOf(metric, nan)).toBe('not-finite');
      expect(reasonOf(metric, infinite)).toBe('not-finite');
      expect(reasonOf(metric, negative)).toBe('negative-light');
      expect(reasonOf(metric, { ...flicker, clipped: 1 })).toBe('saturated');
      const { records, ...rest } = observing(metric, flicker);
      const nothing = metric.compute({ ...rest, records: [] });
      expect(nothing).toMatchObject({ measured: false, reason: 'no-record' });
      expect(records).toHaveLength(1);
    });
  }
});

describe('empty, one sample, dark', () => {
  for (const metric of family) {
    test(metric.id, () => {
      const flicker = flickerFor(metric);
      const of = (samples: Float64Array): Waveform => ({ ...flicker, samples });
      expect(reasonOf(metric, of(new Float64Array(0)))).toBe('empty');
      expect(reasonOf(metric, of(Float64Array.of(1)))).toBe('too-short');
      expect(reasonOf(metric, of(new Float64Array(flicker.samples.length)))).toBe('dark');
    });
  }

  test('noise around nothing is dark, too', () => {
    const dark = withNoise(
      sampled(() => 0, 20e3, 2),
      0.01,
    );
    for (const metric of [modulation, flickerIndex, stroboscopicVisibility, bandLimitedModulation])
      expect(['dark', 'negative-light']).toContain(reasonOf(metric, dark));
  });
});

describe('steady light', () => {
  const step = 1e-4;
  const flat = sampled(() => 3, 20e3, 2, { step });
  const quiet = withNoise(
    sampled(() => 3, 20e3, 2),
    0.003,
  );

  test('shows nothing where every sample is the same and no step says what that may hide', () => {
    const metrics = [modulation, flickerIndex, dominantFrequency, stroboscopicVisibility];
    for (const metric of [...metrics, ieee1789LowRiskComponents, cameraBandContrast])
      expect(
        reasonOf(
          metric,
          recordFor(metric, () => 3),
        ),
        metric.id,
      ).toBe('unresolved');
  });

  test('shows with its step what that may hide', () => {
    for (const metric of [modulation, stroboscopicVisibility, ieee1789LowRiskComponents]) {
      const outcome = outcomeOf(metric, { ...recordFor(metric, () => 3), step });
      if (!outcome.measured) throw new Error(`${metric.id}: ${outcome.reason}`);
      expect(outcome.floor, metric.id).toBeGreaterThan(step / 30);
    }
  });

  test('has no period, so no frequency', () => {
    for (const waveform of [flat, quiet])
      expect(reasonOf(dominantFrequency, waveform)).toBe('no-periodicity');
  });

  test('has no flicker index to speak of, and says what may hide in the noise', () => {
    expect(outcomeOf(flickerIndex, flat)).toMatchObject({
      measured: true,
      value: 0,
      contributions: [{ name: 'within the noise', standard: 0 }],
    });
    const outcome = outcomeOf(flickerIndex, quiet);
    if (!outcome.measured) throw new Error(outcome.reason);
    expect(outcome.value).toBe(0);
    // Gaussian noise s on light m: mean|x - mean| = s √(2/π), so at most s √(2/π) / (2 m) (computed).
    const bound = (0.003 * Math.sqrt(2 / Math.PI)) / (2 * 3);
    expect(outcome.contributions[0]!.standard * Math.sqrt(3)).toBeCloseTo(bound, 5);
  });

  test('light that moves by more than noise and has no period still has no flicker index', () => {
    const drifting = withNoise(
      sampled((t) => 3 + 0.1 * t, 20e3, 2),
      0.003,
    );
    const stepping = withNoise(
      sampled((t) => (t < 0.7 ? 3 : 3.05), 20e3, 2),
      0.003,
    );
    for (const waveform of [drifting, stepping])
      expect(reasonOf(flickerIndex, waveform)).toBe('no-periodicity');
  });

  test('has nothing of all that is a size of flicker, within the noise', () => {
    const sizes = [
      [modulation, 5e-4],
      [ieee1789LowRisk, 0],
      [ieee1789LowRiskComponents, 0],
      [stroboscopicVisibility, 0],
      [shortTermLightModulation, 0.06],
      [bandLimitedModulation, 5e-4],
      [cameraBandContrast, 5e-4],
    ] as const;
    for (const [metric, most] of sizes) {
      const steady = { ...recordFor(metric, () => 3), step };
      for (const waveform of [steady, withNoise(steady, 0.003)]) {
        const outcome = outcomeOf(metric, waveform);
        if (!outcome.measured) throw new Error(`${metric.id}: ${outcome.reason}`);
        expect(Math.abs(outcome.value), metric.id).toBeLessThanOrEqual(most);
      }
    }
  });

  test('SVM of steady light says what may hide in the noise', () => {
    const outcome = outcomeOf(stroboscopicVisibility, quiet);
    if (!outcome.measured) throw new Error(outcome.reason);
    expect(outcome.floor).toBeGreaterThan(1e-6);
    expect(outcome.floor).toBeLessThan(0.01);
  });
});

describe('too short and too slow come with the figure that would do', () => {
  const light = (t: number) => 1 + 0.5 * Math.sin(2 * Math.PI * 100 * t);
  const cases = [
    [stroboscopicVisibility, sampled(light, 20e3, 0.5), 'too-short', 1],
    [stroboscopicVisibility, sampled(light, 5e3, 2), 'too-slow', 10e3],
    [shortTermLightModulation, sampled(light, 5e3, 20), 'too-short', 180],
    [shortTermLightModulation, sampled(light, 1e3, 180), 'too-slow', 2000],
    [modulation, sampled(light, 5e3, 1), 'too-slow', 10e3],
    [flickerIndex, sampled(light, 5e3, 1), 'too-slow', 10e3],
    [ieee1789LowRisk, sampled(light, 4e3, 1), 'too-slow', 5000],
    [ieee1789NoEffect, sampled(light, 10e3, 1), 'too-slow', 12e3],
    [bandLimitedModulation, sampled(light, 20e3, 1), 'too-short', 2],
    [cameraBandSweep, sampled(light, 10e3, 1), 'too-slow', 16e3],
  ] as const;
  for (const [metric, waveform, reason, needed] of cases) {
    test(`${metric.id}: ${reason}`, () => {
      expect(outcomeOf(metric, waveform)).toMatchObject({ measured: false, reason, needed });
    });
  }

  test('fewer than ten samples a period show no flicker index', () => {
    const fast = sampled((t) => 1 + 0.5 * Math.sin(2 * Math.PI * 2950 * t), 20e3, 1);
    const outcome = outcomeOf(flickerIndex, fast);
    expect(outcome).toMatchObject({ measured: false, reason: 'too-slow', found: 20e3 });
    expect(!outcome.measured && outcome.needed).toBeCloseTo(29500, 0);
  });

  test('a rate at which samples average over what flickers shows no modulation', () => {
    // PWM of 4 kHz read at 2 kS/s: every sample is the mean of two whole periods, and the record is flat.
    const flat = integrated(pulses(4000, 0.5), 2e3, 1);
    expect(Math.max(...flat.samples) - Math.min(...flat.samples)).toBeLessThan(1e-9);
    for (const metric of [modulation, flickerIndex])
      expect(outcomeOf(metric, flat)).toMatchObject({ reason: 'too-slow', needed: 10e3 });
    const faster = { 'up-to': 10e3 };
    const wide = sampled(light, 20e3, 1);
    expect(outcomeOf(modulation, wide, faster)).toMatchObject({ reason: 'too-slow', needed: 25e3 });
    const dull = sampled(light, 20e3, 1, { bandwidth: 3000 });
    expect(outcomeOf(modulation, dull)).toMatchObject({ reason: 'too-narrow', needed: 4000 });
  });

  test('three periods in the record are not taken for their harmonics', () => {
    const square = sampled((t) => ((30 * t) % 1 < 0.5 ? 1.4 : 0.6), 20e3, 0.1);
    expect(reasonOf(dominantFrequency, square)).toBe('no-periodicity');
    // A fit shows what they are: 0.4 over the limit at 30 Hz, 0.75 %.
    expect(figureOf(ieee1789LowRisk, square)).toBeCloseTo(53.3, 0);
  });

  test('a pulse of one sample on a bright ground does not show its height', () => {
    const narrow = sampled((t) => (Math.floor(t * 20e3) % 20 === 0 ? 1.5 : 1), 20e3, 1);
    expect(reasonOf(modulation, narrow)).toBe('unresolved');
    const fromDark = sampled((t) => (Math.floor(t * 20e3) % 20 === 0 ? 1.5 : 0), 20e3, 1);
    expect(reasonOf(modulation, fromDark)).toBe('a number: 1');
  });

  test('a light between two codes flips between them, which is no pulse', () => {
    const step = 1e-3;
    const flips = sampled((t) => (Math.floor(t * 20e3) % 20 === 0 ? 1 + step : 1), 20e3, 1, {
      step,
    });
    expect(outcomeOf(modulation, flips)).toMatchObject({ measured: true });
    expect(reasonOf(modulation, { ...flips, step: step / 10 })).toBe('unresolved');
  });

  test('a sensor below 2 kHz cannot tell SVM', () => {
    const dull = sampled(light, 20e3, 1, { bandwidth: 1500 });
    expect(outcomeOf(stroboscopicVisibility, dull)).toMatchObject({
      reason: 'too-narrow',
      found: 1500,
      needed: 2000,
    });
  });

  test('an exposure with fewer than eight samples, or longer than its frame, or than the record', () => {
    const at = (exposure: number, seconds = 1) =>
      outcomeOf(cameraBandContrast, sampled(light, 20e3, seconds), {
        exposure,
        'frame-rate': 25,
      });
    expect(at(1 / 8000)).toMatchObject({ reason: 'too-slow', needed: 64e3 });
    expect(at(1 / 2500).measured).toBe(true);
    expect(at(1 / 24)).toMatchObject({ reason: 'out-of-domain', needed: 0.04 });
    expect(at(1 / 50, 0.05)).toMatchObject({ reason: 'too-short', needed: 0.06 });
  });

  test('a cut-off beyond half the sampling rate is refused', () => {
    const outcome = outcomeOf(bandLimitedModulation, sampled(light, 20e3, 2), { 'cut-off': 12e3 });
    expect(outcome).toMatchObject({ reason: 'out-of-domain', needed: 10e3 });
  });
});

test('no charts when none are wanted, and the same value', () => {
  for (const metric of family) {
    const observation = observing(metric, flickerFor(metric));
    const full = metric.compute(observation);
    const bare = metric.compute(observation, { evidence: false });
    if (!full.measured || !bare.measured) throw new Error(metric.id);
    expect(bare.value).toBe(full.value);
    expect(bare.evidence.charts).toEqual([]);
    expect(full.evidence.charts.length).toBeGreaterThan(0);
    for (const chart of full.evidence.charts) {
      for (const { x, y } of chart.lines) {
        expect(x.length).toBe(y.length);
        expect(x.length).toBeLessThanOrEqual(1000);
        expect([...x, ...y].every(Number.isFinite)).toBe(true);
      }
    }
    expect(Object.values(full.evidence.notes).every((v) => v !== Infinity)).toBe(true);
  }
});

describe('the index of pulses and of sines', () => {
  test.each([0.005, 0.01, 0.03, 0.1])('holds 1 - duty, from means of pulses of duty %d', (duty) => {
    for (const frequency of [400.7, 331.1, 253.3]) {
      const observation = observing(flickerIndex, integrated(pulses(frequency, duty), 20e3, 1));
      const assessed = assess(flickerIndex, observation, [], 2);
      if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
      const { outcome, expanded } = assessed;
      expect(Math.abs(outcome.value - (1 - duty))).toBeLessThanOrEqual(expanded);
    }
  });

  test('holds depth / π (closed form), and the codes of a course average out', () => {
    const step = 2e-3;
    const record = sampled((t) => 1 + 0.1 * Math.sin(2 * Math.PI * 103.7 * t), 12e3, 1);
    const samples = record.samples.map((value) => Math.round(value / step) * step);
    const observation = observing(flickerIndex, { ...record, samples, step });
    const outcome = flickerIndex.compute(observation);
    if (!outcome.measured) throw new Error(outcome.reason);
    const square = outcome.contributions.reduce((sum, { standard }) => sum + standard ** 2, 0);
    expect(Math.abs(outcome.value - 0.1 / Math.PI)).toBeLessThan(2 * Math.sqrt(square));
    // One and the same error of half a code would make more.
    expect(2 * Math.sqrt(square)).toBeLessThan(step / 4);
  });
});
