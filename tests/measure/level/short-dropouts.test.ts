import { describe, expect, it } from 'vitest';
import { dropouts } from '../../../harness/measure/metrics/level/dropouts.ts';
import { deviates, figureOf, integrated, pulses, sampled, withNoise } from '../light-of.ts';

const rate = 20e3;
/** Dark for `length` at each of the instants, s. */
const dark =
  (length: number, ...at: readonly number[]) =>
  (t: number) =>
    at.some((from) => t >= from && t < from + length) ? 0 : 1;

describe('a dropout shorter than the averaging', () => {
  it.each([0.0002, 0.001, 0.002, 0.009, 0.019, 0.05, 0.3])('of %d s counts once each', (length) => {
    const light = dark(length, 0.4, 1.3);
    expect(figureOf(dropouts, sampled(light, rate, 2))).toBe(2);
    expect(figureOf(dropouts, withNoise(sampled(light, rate, 2), 0.03))).toBe(2);
  });

  it('counts in light that a modulator makes', () => {
    const area = pulses(1000, 0.3);
    const pwm = integrated(area, rate, 2);
    expect(figureOf(dropouts, pwm)).toBe(0);
    const broken = { ...pwm, samples: pwm.samples.slice() };
    broken.samples.fill(0, 8000, 8120);
    broken.samples.fill(0, 20_000, 20_040);
    expect(figureOf(dropouts, broken)).toBe(2);
  });

  it('counts thirty alike, too: they are no modulator', () => {
    const many = Array.from({ length: 30 }, (_, k) => 0.05 + k / 3);
    expect(figureOf(dropouts, sampled(dark(0.009, ...many), rate, 10))).toBe(30);
  });
});

describe('no dropout is seen where there is none', () => {
  it.each([0.02, 0.07, 0.2])('in a minute with noise of %d of the light', (noise) => {
    expect(
      figureOf(
        dropouts,
        withNoise(
          sampled(() => 1, 10e3, 60),
          noise,
          7,
        ),
      ),
    ).toBe(0);
  });

  it('in a dither without a period', () => {
    const next = deviates(3);
    expect(
      figureOf(
        dropouts,
        sampled(() => (next() > 0.5 ? 1 : 0), rate, 20),
      ),
    ).toBe(0);
  });

  it('in a slow modulator that the averaging smooths', () => {
    expect(figureOf(dropouts, integrated(pulses(120, 0.2), rate, 5))).toBe(0);
  });
});
