import { describe, expect, test } from 'vitest';
import { ieee1789Limit } from '../../../harness/measure/features/flicker/ieee1789-limits.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { ditherVisibility } from '../../../harness/measure/metrics/fade/dither.ts';
import { ieee1789LowRiskComponents } from '../../../harness/measure/metrics/flicker/ieee1789-components.ts';
import { stroboscopicVisibility } from '../../../harness/measure/metrics/flicker/stroboscopic-visibility.ts';
import { strongestComponent } from '../../../harness/measure/metrics/flicker/strongest-component.ts';
import type { Waveform } from '../../../harness/measure/waveform.ts';
import { assess } from '../../../harness/verdict/assess.ts';
import { observing, sampled, withNoise } from '../light-of.ts';

/** Truths are closed forms: the amplitude that was put in over the limit at its frequency. */
const metrics: readonly Metric[] = [ieee1789LowRiskComponents, ditherVisibility];

function found(metric: Metric, waveform: Waveform, noise = 0) {
  const { step = 0 } = waveform;
  const input = { standardScale: 0, standardOffset: 0, noise, timeBase: 0, step };
  const calibration = [{ capture: 'light', signal: 'light', of: 'light', ...input }] as const;
  const assessed = assess(metric, observing(metric, waveform), calibration, 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  const { value, floor = 0 } = assessed.outcome;
  return { value, floor, most: value + assessed.expanded, least: value - assessed.expanded };
}

const sine = (frequency: number, depth: number, seconds = 1, rate = 20e3, phase = 0.3) =>
  sampled((t) => 1 + depth * Math.sin(2 * Math.PI * frequency * t + phase), rate, seconds);
const share = (frequency: number, depth: number) => depth / ieee1789Limit('low-risk', frequency);
/** As whole codes of a converter, so many of them high. */
const coded = (waveform: Waveform, codes: number): Waveform => ({
  ...waveform,
  step: 1,
  samples: waveform.samples.map((value) => Math.round(value * codes)),
});

describe.each(metrics)('$id', (metric) => {
  test.each([2.3, 2.7, 3.3, 4, 4.4, 4.9, 5.2, 8.8])('shows %f Hz in one second', (frequency) => {
    for (const phase of [0, 1, 2]) {
      const { value, most, least } = found(metric, sine(frequency, 0.2, 1, 20e3, phase));
      const truth = share(frequency, 0.2);
      expect(value / truth).toBeCloseTo(1, 1);
      expect(most).toBeGreaterThan(truth);
      expect(least).toBeLessThan(truth);
      expect((most - least) / truth).toBeLessThan(0.2);
    }
  });

  test.each([1.1, 1.5, 1.9])('does not pass over %f Hz in one second', (frequency) => {
    for (const phase of [0, 1, 2]) {
      const { floor } = found(metric, sine(frequency, 0.02, 1, 20e3, phase));
      expect(floor).toBeGreaterThan(share(frequency, 0.02) / 2);
    }
  });

  test('takes the course of a fade for no sine, nor for what hides one', () => {
    const fade = sampled((t) => Math.exp(-0.115 * t), 20e3, 2);
    const { value, floor } = found(metric, withNoise(fade, 1e-4), 1e-4);
    expect(value).toBeLessThan(0.01);
    expect(floor).toBeLessThan(0.1);
  });

  test('of codes reaches what half a code hides, with little noise too', () => {
    const truth = share(8.8, 0.006);
    for (const noise of [0, 0.1, 0.3, 1]) {
      for (const codes of [65, 65.5]) {
        const waveform = coded(withNoise(sine(8.8, 0.006), noise / codes, 7 + codes), codes);
        const { most, least, floor } = found(metric, waveform, noise);
        expect(most, `${noise} codes of noise on ${codes}`).toBeGreaterThan(truth);
        expect(least).toBeLessThan(truth);
        if (noise === 0) expect(floor).toBeGreaterThan(truth);
        if (noise === 1) expect(most - least).toBeLessThan(1.5);
      }
    }
  });

  test('has a floor under noise that holds what it hides, and hardly more than that', () => {
    let above = 0;
    for (let seed = 1; seed <= 8; seed++) {
      const { value, floor, most } = found(metric, withNoise(sine(8.8, 0.003), 0.03, seed), 0.03);
      if (value === 0) expect(floor).toBeGreaterThan(1);
      if (most < share(8.8, 0.003)) above++;
      const quiet = found(metric, withNoise(sine(8.8, 0), 0.03, seed), 0.03);
      expect(quiet.value).toBe(0);
      // A tone of which the noise beats 5 % down is 2.7 standard deviations of a bin high, of 3 Hz (computed).
      expect(quiet.floor).toBeGreaterThan(0.8);
      expect(quiet.floor).toBeLessThan(3);
    }
    expect(above).toBeLessThanOrEqual(1);
  });

  test('at 90 Hz reaches the other side of the limit’s step', () => {
    for (const phase of [0, 1, 2, 3]) {
      const { most, least } = found(metric, sine(90, 0.05, 1, 20e3, phase));
      expect(most).toBeGreaterThan(share(89.999, 0.05));
      expect(least).toBeLessThan(share(90, 0.05));
    }
    const clear = found(metric, sine(90.2, 0.05));
    expect(clear.most).toBeLessThan(1);
  });

  test('allows for averaging over a sample, and for none', () => {
    const points = sine(1200, 0.5, 1, 5e3);
    const lost = (Math.PI * 1200) / 5e3;
    for (const kept of [1, Math.sin(lost) / lost]) {
      const depth = 0.5 * kept;
      const { most, least } = found(metric, sine(1200, depth, 1, 5e3));
      expect(most).toBeGreaterThan(share(1200, 0.5 * 0.999 * kept));
      expect(least).toBeLessThan(share(1200, depth));
    }
    expect(found(metric, points).most).toBeGreaterThan(share(1200, 0.5) / (Math.sin(lost) / lost));
  });
});

test('half a second shows 8.8 Hz to the practice', () => {
  const { value, most } = found(ieee1789LowRiskComponents, sine(8.8, 0.2, 0.5));
  expect(value).toBeCloseTo(share(8.8, 0.2), 0);
  expect(most).toBeGreaterThan(share(8.8, 0.2));
});

test.each([2.5, 3.2, 4.5])('a slow sine of %d periods keeps its amplitude', (periods) => {
  const light = sampled((t) => 1 + 0.4 * Math.sin((2 * Math.PI * periods * t) / 5 + 1), 20e3, 5);
  expect(found(strongestComponent, light).value).toBeCloseTo(0.4, 5);
});

describe('dips that are seldom', () => {
  const cases: [number, number][] = [
    [0.5, 0.0006],
    [0.31, 0.0002],
    [0.9, 0.01],
  ];

  test.each(cases)('every %d s for %d s: U holds the components and their SVM', (every, width) => {
    // Fourier series of rectangles (closed form); IEEE 1789 low risk and IEC TR 63158 from memory.
    const duty = width / every;
    const light = sampled((t) => (t % every < width ? 0.5 : 1), 20e3, 3);
    let [worst, sum] = [0, 0];
    for (let k = 1; k / every <= 2000; k++) {
      const f = k / every;
      const amplitude =
        (2 * 0.5 * Math.abs(Math.sin(Math.PI * k * duty))) / (Math.PI * k) / (1 - 0.5 * duty);
      if (f <= 1250) worst = Math.max(worst, amplitude / (f < 90 ? 0.00025 * f : 0.0008 * f));
      if (f >= 80) sum += (amplitude / (2.865e-5 * f ** 1.543 + 0.225)) ** 3.7;
    }
    // What comes less than three times a second is left to the events.
    if (every < 1 / 3) expect(found(ieee1789LowRiskComponents, light).most).toBeGreaterThan(worst);
    expect(found(stroboscopicVisibility, light).most).toBeGreaterThanOrEqual(sum ** (1 / 3.7));
  });
});
