import { describe, expect, test } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { cameraBandContrast } from '../../../harness/measure/metrics/camera/camera-band-contrast.ts';
import { cameraBandSweep } from '../../../harness/measure/metrics/camera/camera-band-sweep.ts';
import { frameBandContrast } from '../../../harness/measure/metrics/camera/frame-band-contrast.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { deviates, integrated, observing, pulses, sampled } from '../light-of.ts';

interface Interval {
  readonly value: number;
  readonly expanded: number;
}

function intervalOf(metric: Metric, observation: Observation): Interval {
  const assessed = assess(metric, observation, [], 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  return { value: assessed.outcome.value, expanded: assessed.expanded };
}

/** Contrast of PWM from dark by counting whole periods in an exposure (computed; the reference table's closed form). */
function contrastOf(frequency: number, exposure: number, duty: number): number {
  const periods = frequency * exposure;
  const whole = Math.floor(periods + 1e-9);
  const rest = Math.max(0, periods - whole);
  const high = whole * duty + Math.min(rest, duty);
  const low = whole * duty + Math.max(0, rest + duty - 1);
  return (high - low) / (high + low);
}

describe('bands of pulses lie within their uncertainty', () => {
  const exposures = [1 / 50, 1 / 60, 1 / 120, 1 / 250, 1 / 1000, 1 / 2000];
  const cases = Array.from({ length: 60 }, (_, k) => ({
    frequency: 60 + ((k * 577) % 2900),
    duty: 0.05 + ((k * 0.6180339887) % 1) * 0.9,
    phase: (k * 0.7548776662) % 1,
    exposure: exposures[k % exposures.length] ?? 1 / 50,
  }));

  test.each(['instants', 'means'])('from samples that are %s', (kind) => {
    let outside = 0;
    for (const { frequency, duty, phase, exposure } of cases) {
      const area = pulses(frequency, duty);
      const record =
        kind === 'means'
          ? integrated((t) => area(t + phase / frequency), 20e3, 0.3)
          : sampled((t) => ((t * frequency + phase) % 1 < duty ? 1 : 0), 20e3, 0.3);
      const parameters = { exposure, 'frame-rate': 24 };
      const observation = observing(cameraBandContrast, record, parameters);
      // Pulses and gaps of a sample or two are refused.
      if (!cameraBandContrast.compute(observation).measured) continue;
      const { value, expanded } = intervalOf(cameraBandContrast, observation);
      const truth = contrastOf(frequency, exposure, duty);
      expect(value + expanded).toBeGreaterThanOrEqual(truth - 1e-3);
      if (value - expanded > truth + 1e-3) outside++;
    }
    expect(outside).toBeLessThanOrEqual(3);
  });
});

describe('bands of pulses shorter than a sample', () => {
  const record = (frequency: number, duty: number, kind: 'instants' | 'means') => {
    const area = pulses(frequency, duty);
    return kind === 'means'
      ? integrated(area, 20e3, 1)
      : sampled((t) => ((t * frequency + 0.21) % 1 < duty ? 1 : 0), 20e3, 1);
  };
  // 0.7, 0.14, 0.5 and 1.6 samples wide.
  const cases: [number, number, number][] = [
    [2011, 0.07, 1 / 300],
    [733, 0.005, 1 / 1000],
    [997, 0.025, 1 / 120],
    [1503.7, 0.12, 1 / 500],
  ];

  test.each(cases)('at %d Hz, duty %d: instants do not tell them', (frequency, duty, exposure) => {
    const parameters = { exposure, 'frame-rate': 24 };
    for (const metric of [cameraBandContrast, cameraBandSweep]) {
      const observation = observing(metric, record(frequency, duty, 'instants'), parameters);
      expect(metric.compute(observation)).toMatchObject({ reason: 'unresolved' });
    }
  });

  test.each(cases)('at %d Hz, duty %d: means do', (frequency, duty, exposure) => {
    const parameters = { exposure, 'frame-rate': 24 };
    const observation = observing(cameraBandContrast, record(frequency, duty, 'means'), parameters);
    const { value, expanded } = intervalOf(cameraBandContrast, observation);
    const off = Math.abs(value - contrastOf(frequency, exposure, duty));
    expect(off).toBeLessThanOrEqual(expanded + 1e-3);
  });
});

describe('bands of a sine', () => {
  test('are those of its mean over the exposure (sin x / x), within U, from instants and under noise', () => {
    for (const noise of [0, 1e-4, 1e-3])
      for (let k = 0; k < 24; k++) {
        const next = deviates(31 + k);
        const [frequency, exposure] = [103 + 6.7 * k, 1 / (60 + 10 * k)];
        const light = (t: number) =>
          1 + 0.1 * Math.sin(2 * Math.PI * frequency * t + k) + noise * next();
        const parameters = { exposure, 'frame-rate': 25 };
        const observation = observing(cameraBandContrast, sampled(light, 12e3, 0.5), parameters);
        const { value, expanded } = intervalOf(cameraBandContrast, observation);
        const x = Math.PI * frequency * exposure;
        const truth = 0.1 * Math.abs(Math.sin(x) / x);
        // A few in a hundred lie a little outside U.
        expect(Math.abs(value - truth)).toBeLessThanOrEqual(1.3 * expanded + 2e-5);
      }
  });
});

describe('bands in a frame', () => {
  const seen = (row: (k: number) => number, noise = 0): Interval => {
    const next = deviates(5);
    const rows = Float64Array.from({ length: 1000 }, (_, k) => row(k) + noise * next());
    const frame = { capture: 'frame', at: 0, rows, lineTime: 2e-5, exposure: 1 / 8000 };
    const light = observing(
      frameBandContrast,
      sampled(() => 1, 1000, 1),
    );
    const frames = [{ ...frame, saturated: false }];
    return intervalOf(frameBandContrast, { ...light, records: [], frames });
  };

  test('of PWM at 12 kHz are a third, whatever the time of a line', () => {
    const area = pulses(12e3, 0.1);
    for (const lineTime of [1e-5, 1.7e-5, 2e-5, 4e-5])
      for (const noise of [0, 1e-3]) {
        const row = (k: number) => (area(k * lineTime + 1 / 8000) - area(k * lineTime)) * 8000;
        const { value, expanded } = seen(row, noise);
        expect(Math.abs(value - 1 / 3)).toBeLessThanOrEqual(expanded + 1e-3);
        expect(value).toBeGreaterThan(0.3);
      }
  });

  test.each([3, 5, 8, 20])('that are square and %d rows wide are no noise', (width) => {
    for (const noise of [0, 5e-3, 2e-2]) {
      const { value, expanded } = seen((k) => (Math.floor(k / width) % 2 ? 1.1 : 0.9), noise);
      expect(Math.abs(value - 0.1)).toBeLessThanOrEqual(expanded + 1e-6);
      expect(expanded).toBeLessThan(0.04);
    }
  });

  test('that noise alone makes are none', () => {
    const { value, expanded } = seen(() => 1, 0.01);
    expect(value - expanded).toBeLessThanOrEqual(0);
    expect(expanded).toBeLessThan(0.02);
  });
});
