import { describe, expect, it } from 'vitest';
import type { Metric } from '../../harness/measure/metric.ts';
import { ditherRate } from '../../harness/measure/metrics/fade/dither.ts';
import { dominantFrequency } from '../../harness/measure/metrics/flicker/dominant-frequency.ts';
import { modulation } from '../../harness/measure/metrics/flicker/modulation.ts';
import { levelRatio } from '../../harness/measure/metrics/level/level-ratio.ts';
import { metrics } from '../../harness/measure/metrics.ts';
import type { Commanded, Observation } from '../../harness/measure/observation.ts';
import { deviates } from '../../harness/measure/signal/deviates.ts';
import { assess } from '../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { observing } from '../measure/light-of.ts';

const rate = 1000;
const stated: InputCalibration = {
  capture: 'light',
  signal: 'light',
  of: 'light',
  standardScale: 0,
  standardOffset: 0,
  noise: 0.001,
  timeBase: 0,
  step: 0,
};
const { standardOffset: _, ...unstated } = stated;

/** Full light of 100 lx for a second, then 0.1 % of it, then off; with a zero that is 0.02 % of full light too high. */
function dimmed(dark: boolean): Observation {
  const noise = deviates(3 * rate, 7, 0);
  const samples = Float64Array.from(
    { length: 3 * rate },
    (_, k) => (k < rate ? 100 : k < 2 * rate || !dark ? 0.1 : 0) + 0.02 + 0.001 * (noise[k] ?? 0),
  );
  const levels = [1, 0.001, dark ? 0 : 0.001];
  const segments = levels.map((level, k) => ({
    from: k,
    to: k + 1,
    startLevel: level,
    endLevel: level,
  }));
  const channel = { channel: 'light', lumen: 1, xy: [0.4, 0.4] as const, maxCurrent: 1, segments };
  const commanded: Commanded = {
    channels: [channel],
    marks: [],
    duration: 3,
    curve: { kind: 'logarithmic', bottom: 0.001 },
  };
  const whole = observing(levelRatio, { samples, rate, start: 0, unit: 'lx', clipped: 0 });
  return { ...whole, commanded, window: { from: 1, to: 2 }, reference: { from: 0, to: 1 } };
}

describe('a level held against another', () => {
  it('is not measurable where nobody has said how well the zero is known', () => {
    const { outcome } = assess(levelRatio, dimmed(false), [unstated], 2);
    expect(outcome).toMatchObject({ measured: false, reason: 'no-zero' });
  });

  it('takes a stated 0 for what it is: a statement', () => {
    const assessed = assess(levelRatio, dimmed(false), [stated], 2);
    expect(assessed.outcome.measured).toBe(true);
    expect('expanded' in assessed && assessed.expanded).toBeLessThan(1e-5);
  });

  it('has a U that holds the truth where the record has a dark window, and nothing else is stated', () => {
    const assessed = assess(levelRatio, dimmed(true), [unstated], 2);
    if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
    const { outcome, expanded } = assessed;
    expect(Math.abs(outcome.value - 0.001)).toBeGreaterThan(1.9e-4);
    expect(Math.abs(outcome.value - 0.001)).toBeLessThan(expanded);
    expect(expanded).toBeLessThan(5e-4);
  });

  it('is asked for by every metric that compares levels', () => {
    const asking = metrics.filter(({ needs }) => needs.zero).map(({ id }) => id);
    expect(asking).toEqual(
      expect.arrayContaining([
        ...['level-ratio', 'level-error', 'level-error-lightness', 'lowest-stable-level'],
        ...['step-size', 'hysteresis', 'monotonicity', 'level-after-loss', 'recall-level'],
        'channel-ratio-drift',
      ]),
    );
  });
});

describe('what else nobody has stated', () => {
  const light = (hum: number) => {
    const noise = deviates(20 * rate, 5, 0);
    const samples = Float64Array.from(
      { length: 20 * rate },
      (_, k) => 100 + hum * Math.sin((2 * Math.PI * 50 * k) / (20 * rate)) + 0.01 * (noise[k] ?? 0),
    );
    return observing(modulation, { samples, rate: 20 * rate, start: 0, unit: 'lx', clipped: 0 });
  };
  const assessed = (observation: Observation, input: InputCalibration) => {
    const result = assess(modulation, observation, [input], 2);
    if (!('expanded' in result)) throw new Error(result.outcome.reason);
    return {
      value: result.outcome.value,
      expanded: result.expanded,
      notes: result.outcome.evidence.notes,
    };
  };

  it('goes with the value in words: the zero', () => {
    expect(assessed(light(0), unstated).notes).toMatchObject({
      'zero-not-stated': 'light: taken as exact',
    });
    expect(assessed(light(0), stated).notes).not.toHaveProperty('zero-not-stated');
  });

  it('names a line at a mains frequency as possible pickup, with a U that holds it', () => {
    const { value, expanded, notes } = assessed(light(0.2), stated);
    expect(value).toBeGreaterThan(0.0018);
    expect(value).toBeLessThan(expanded);
    expect(notes['possible-pickup']).toMatch(/^light: 50 Hz/);
  });

  it('has no pickup where the dark wiring was recorded without', () => {
    const dark = { slow: 0, lines: [], drift: 0 };
    const { value, expanded, notes } = assessed(light(0.2), { ...stated, dark });
    expect(expanded).toBeLessThan(0.2 * value);
    expect(notes).not.toHaveProperty('possible-pickup');
  });

  it('holds a line of the dark wiring in U, whatever its phase was', () => {
    const dark = { slow: 0, lines: [{ frequency: 50, amplitude: 0.2 }], drift: 0 };
    const { value, expanded } = assessed(light(0.2), { ...stated, dark });
    expect(value).toBeLessThan(expanded);
  });
});

describe('a line that the dark wiring explains', () => {
  const dark = { slow: 0, lines: [{ frequency: 50, amplitude: 0.6 }], drift: 0 };
  const light = (metric: Metric, lamp: number, hum: number) => {
    const noise = deviates(10_000, 11, 0);
    const samples = noise.map(
      (value, k) =>
        100 +
        0.01 * value +
        lamp * Math.sin((2 * Math.PI * 310 * k) / 5000) +
        hum * Math.sin((2 * Math.PI * 50 * k) / 5000),
    );
    return observing(metric, { samples, rate: 5000, start: 0, unit: 'lx', clipped: 0 });
  };

  it.each([ditherRate, dominantFrequency])('is not the $id of the lamp', (metric) => {
    const input = { ...stated, dark };
    expect(assess(metric, light(metric, 0, 0.6), [input], 2).outcome.measured).toBe(false);
    // Nobody has recorded the dark wiring: weak, it may be the mains; strong, it is the lamp's.
    expect(assess(metric, light(metric, 0, 0.6), [stated], 2).outcome.measured).toBe(false);
    expect(assess(metric, light(metric, 0, 2), [stated], 2).outcome.measured).toBe(true);
    const silent = { ...stated, dark: { ...dark, lines: [] } };
    expect(assess(metric, light(metric, 0, 0.6), [silent], 2).outcome.measured).toBe(true);
    const { outcome } = assess(metric, light(metric, 1, 0.6), [input], 2);
    expect(outcome.measured && outcome.value).toBeCloseTo(310, 0);
  });
});
