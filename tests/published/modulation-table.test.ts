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
/** (max - min) / (max + min) of the tones up to a cut-off, by their sum at 1 MS/s (definition of modulation). */
const contrastOf = (all: readonly Tone[], cutOff: number): number => {
  let [low, high] = [Infinity, -Infinity];
  for (let n = 0; n < 1e5; n++) {
    const at = (k: number, f: number) => Math.sin((2 * Math.PI * f * n) / 1e6 + k);
    const light = all.reduce((sum, [m, f], k) => (f > cutOff ? sum : sum + m * at(k, f)), 1);
    [low, high] = [Math.min(low, light), Math.max(high, light)];
  }
  return (high - low) / (high + low);
};
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
    const all = [
      [0.02, 30],
      [0.03, 80],
      [0.04, 300],
      [0.05, 700],
    ] as const;
    for (const [k, cutOff] of [40, 90, 200, 400, 1000].entries())
      expect(below[k]).toBeCloseTo(contrastOf(all, cutOff), 3);
  });

  test('a tone that another a hertz away makes beat counts with its highest beat', () => {
    // 25 % at 120 Hz with side lines of 7.5 % at 119 and 121 Hz: 40 % where they meet, of an allowed 30 %.
    const light = (t: number) =>
      1 + (0.25 + 0.15 * Math.cos(2 * Math.PI * t)) * Math.sin(2 * Math.PI * 120 * t);
    const share = figureOf(ja10Modulation, sampled(light, 20_000, 4));
    expect(share).toBeCloseTo(0.4 / 0.3, 2);
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
