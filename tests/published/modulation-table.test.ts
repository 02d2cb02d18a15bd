import { describe, expect, test } from 'vitest';
import type { Metric } from '../../harness/measure/metric.ts';
import { ja10Modulation } from '../../harness/measure/metrics/flicker/ja10-modulation.ts';
import { strongestComponent } from '../../harness/measure/metrics/flicker/strongest-component.ts';
import {
  figureOf,
  integrated,
  outcomeOf,
  pulses,
  sampled,
  withNoise,
} from '../measure/light-of.ts';

type Tone = readonly [modulation: number, frequency: number];
const tones = (...all: readonly Tone[]) =>
  sampled(
    (t) => 1 + all.reduce((sum, [m, f], k) => sum + m * Math.sin(2 * Math.PI * f * t + k), 0),
    20_000,
    2,
  );
const whole = (metric: Metric, record: ReturnType<typeof tones>) => {
  const outcome = outcomeOf(metric, record);
  if (!outcome.measured) throw new Error(outcome.reason);
  return outcome;
};

describe('JA10 in one figure', () => {
  test('a sine of 30 % below 200 Hz is just at the limit', () => {
    for (const frequency of [37.3, 120, 199])
      expect(figureOf(ja10Modulation, tones([0.3, frequency]))).toBeCloseTo(1, 2);
  });

  test('what is faster than a cut-off does not leak into it, however near', () => {
    for (const frequency of [201, 231.7, 400])
      expect(figureOf(ja10Modulation, tones([0.5, frequency]))).toBeLessThan(0.01);
  });

  test('a square wave from dark has 4/π of which only the fundamental is left (Fourier series)', () => {
    const square = integrated(pulses(150, 0.5), 20_000, 2);
    expect(figureOf(ja10Modulation, square)).toBeCloseTo(4 / Math.PI / 0.3, 2);
  });

  test('states the modulation below each of the five cut-offs', () => {
    const { notes } = whole(
      ja10Modulation,
      tones([0.02, 30], [0.03, 80], [0.04, 300], [0.05, 700]),
    ).evidence;
    const below = [40, 90, 200, 400, 1000].map((f) => Number(notes[`modulation-below-${f}-hz`]));
    for (const [k, sum] of [0.02, 0.05, 0.05, 0.09, 0.14].entries())
      expect(below[k]).toBeCloseTo(sum, 3);
  });

  test('of two components the phases are not known: U reaches down to the stronger one alone', () => {
    const { value, contributions } = whole(ja10Modulation, tones([0.02, 30], [0.03, 80]));
    const [phases] = contributions;
    expect(value).toBeCloseTo(0.05 / 0.3, 2);
    expect(phases?.standard).toBeCloseTo(0.02 / 0.3 / Math.sqrt(3), 3);
  });
});

describe('table of modulation over frequency', () => {
  test('lists the components by strength, and the value is that of the strongest', () => {
    const { value, evidence } = whole(
      strongestComponent,
      tones([0.01, 88], [0.04, 1200], [0.2, 3000]),
    );
    expect(value).toBeCloseTo(0.04, 3);
    expect(evidence.notes['component-1']).toMatch(/^1200 Hz: (4|3\.99|4\.01) %$/);
    expect(evidence.notes['component-2']).toMatch(/^88 Hz: (1|0\.999) %$/);
  });

  test('states what noise may hide', () => {
    for (const metric of [ja10Modulation, strongestComponent])
      expect(whole(metric, withNoise(tones([0, 100]), 0.05)).floor).toBeGreaterThan(1e-4);
  });
});
