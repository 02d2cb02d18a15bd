import { expect, it } from 'vitest';
import type { ObservedFade } from '../../../harness/measure/features/fade/observed-fade.ts';
import { plateauScatter } from '../../../harness/measure/features/fade/plateau-scatter.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { sampled, withNoise } from '../light-of.ts';

const [rate, width] = [1000, 0.04];

/** Plateaus of a second each, before and behind a fade from 1 s to 2 s. */
function observed(light: (t: number) => number, noise = 0, after = 3): ObservedFade {
  const waveform = withNoise(sampled(light, rate, 3), noise);
  const commanded = { before: { from: 0, to: 1 }, after: { from: 2, to: after } };
  return { waveform, commanded, fit: { start: 1.05, end: 1.9 } } as unknown as ObservedFade;
}

it('tells how far a plateau that slopes would be from its mean where the fade meets it', () => {
  const { start, end } = plateauScatter(
    observed((t) => (t < 1.5 ? 50 + 3 * t : 10 - 2 * (t - 2))),
    width,
  );
  // From 40 % on: the middles lie at 0.7 s and 2.7 s, give or take what does not fill an average.
  expect(start.tilt).toBeCloseTo(3 * (1.05 - 0.7), 1);
  expect(end.tilt).toBeCloseTo(2 * (2.7 - 1.9), 1);
  expect(start.noise).toBeLessThan(1e-9);
  expect(end.noise).toBeLessThan(1e-9);
});

it('tells white noise as it is in averages, and hardly a slope', () => {
  const { start, end } = plateauScatter(
    observed((t) => (t < 1.5 ? 50 : 10), 0.5),
    width,
  );
  const one = (hannNoise * 0.5) / Math.sqrt(width * rate);
  for (const { noise, tilt } of [start, end]) {
    expect(noise / one).toBeGreaterThan(0.7);
    expect(noise / one).toBeLessThan(1.4);
    expect(tilt).toBeLessThan(2 * one);
  }
});

it('tells a course that is alike from sample to sample, which white noise does not show', () => {
  const wave = (t: number) => 0.2 * Math.sin(2 * Math.PI * 7.3 * t);
  const { start, end } = plateauScatter(
    observed((t) => (t < 1.5 ? 50 : 10) + wave(t)),
    width,
  );
  // rms of a sine, of which an average of 0.3 periods takes a little.
  for (const { noise } of [start, end]) expect(noise).toBeCloseTo(0.2 / Math.SQRT2, 1);
  expect(start.noise).toBeGreaterThan(0.12);
});

it('says nothing of fewer than six averages', () => {
  const light = (t: number) => 10 + t;
  // 0.12 s and 0.15 s behind the settling part: five and six averages, 20 ms apart.
  expect(plateauScatter(observed(light, 0, 2.2), width).end).toEqual({ noise: 0, tilt: 0 });
  expect(plateauScatter(observed(light, 0, 2.25), width).end.tilt).toBeGreaterThan(0);
});
