import { expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { fadeOvershoot } from '../../../harness/measure/metrics/fade/fade-overshoot.ts';
import { fadeStartDelay } from '../../../harness/measure/metrics/fade/fade-start-delay.ts';
import { fade, lengthOf, levelAt, observe, recordOf } from '../lamp-of.ts';
import { outcome, standardOf } from './quick-fade.ts';

/** From 0.1 to 0.5 between 0.5 s and 1.5 s, recorded until 2.5 s. */
const segments = fade(0.1, 0.5, 1, { before: 0.5, after: 1 });
const amplitude = 0.4;

function fading(metric: Metric, light: (t: number) => number, noise = 0, smoothing?: number) {
  const waveform = recordOf(light, lengthOf(segments), { rate: 1000, noise });
  const parameters = smoothing === undefined ? {} : { smoothing };
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm', { parameters });
}

const commanded = (t: number) => levelAt(segments, t);
/** A half sine of 0.2 s from 1.6 s on. */
const bump = (size: number) => (t: number) =>
  t > 1.6 && t < 1.8 ? size * Math.sin((Math.PI * (t - 1.6)) / 0.2) : 0;

it('an overshoot is what goes beyond the final plateau, as a part of the step, and says where', () => {
  const made = outcome(
    fadeOvershoot,
    fading(fadeOvershoot, (t) => commanded(t) + bump(0.02)(t)),
  );
  // An average of 20 ms takes 0.7 % off the top of a half sine of 200 ms; the bump hardly raises its plateau.
  expect(Math.abs(made.value - 0.02 / amplitude)).toBeLessThan(1e-3);
  expect(made.evidence.notes).toEqual({
    at: expect.closeTo(1.7, 1),
    'plateau-scatter': expect.any(Number),
  });
  expect(Math.abs(Number(made.evidence.notes['at']) - 1.7)).toBeLessThan(0.011);
  expect(made.evidence.charts.map(({ title }) => title)).toEqual(['End of the fade of warm']);
});

it('an overshoot within the second half of the fade counts, one before it does not', () => {
  const spike = (at: number) => (t: number) => (Math.abs(t - at) < 0.004 ? 0.9 : commanded(t));
  expect(outcome(fadeOvershoot, fading(fadeOvershoot, spike(1.3))).value).toBeGreaterThan(0.1);
  expect(outcome(fadeOvershoot, fading(fadeOvershoot, spike(0.7))).value).toBeLessThan(0.01);
});

it('an overshoot is smoothed over the time that is asked for', () => {
  const light = (t: number) => commanded(t) + (Math.abs(t - 1.7) < 0.01 ? 0.02 : 0);
  const [narrow, wide] = [0.02, 0.08].map(
    (smoothing) => outcome(fadeOvershoot, fading(fadeOvershoot, light, 0, smoothing)).value,
  );
  expect(narrow).toBeGreaterThan(0.045);
  // The middle quarter of a Hann window: 1/4 + sin(π/4)/π.
  expect(wide).toBeCloseTo(0.05 * (0.25 + Math.SQRT1_2 / Math.PI), 2);
});

it('an overshoot is as uncertain as its plateau scatters once the light has settled', () => {
  // From 0.4 s behind the end on, 10 Hz of which an average of 20 ms leaves 0.974.
  const passed = Math.sin(Math.PI * 0.2) / (Math.PI * 0.2) / (1 - 0.04);
  const ripple = (from: number) => (t: number) =>
    commanded(t) + (t > from ? 0.004 * Math.sin(2 * Math.PI * 10 * t) : 0);
  const made = outcome(fadeOvershoot, fading(fadeOvershoot, ripple(1.9)));
  const expected = (0.004 * passed) / Math.SQRT2 / amplitude;
  expect(made.contributions).toEqual([
    { name: 'scatter of the averages', standard: expect.closeTo(expected, 3), isNoise: true },
  ]);
  expect(standardOf(made, 'scatter of the averages') / expected).toBeCloseTo(1, 1);
  // What happens before is the lamp's way to its plateau.
  const early = (t: number) => (t < 1.88 ? ripple(1.5)(t) : commanded(t));
  expect(
    standardOf(outcome(fadeOvershoot, fading(fadeOvershoot, early)), 'scatter of the averages'),
  ).toBeLessThan(expected / 3);
  expect(
    fadeOvershoot.compute(
      fading(
        fadeOvershoot,
        (t) => commanded(t) + (t > 1.9 ? 0.35 * Math.sin(40 * Math.PI * t) : 0),
      ),
    ),
  ).toEqual({
    ...{ measured: false, reason: 'below-noise', needed: 0.5, unit: '1' },
    found: expect.closeTo(
      (0.35 * Math.sin(Math.PI * 0.4)) / (Math.PI * 0.4) / (1 - 0.16) / Math.SQRT2 / amplitude,
      1,
    ),
  });
});

it('duration and start say what they rest on', () => {
  // Late by 20 ms, slower by 10 %: it creeps for the last part.
  const light = (t: number) => 0.1 * 5 ** Math.min(1, Math.max(0, (t - 0.52) / 1.1));
  const made = outcome(fadeDuration, fading(fadeDuration, light));
  expect(made.value).toBeCloseTo(1.1, 3);
  expect(made.evidence.notes).toEqual({
    start: expect.closeTo(0.52, 3),
    arrival: expect.closeTo(1.62, 3),
    'commanded-duration': 1,
    'start-level': expect.closeTo(0.1, 4),
    'end-level': expect.closeTo(0.5, 4),
    'first-change': expect.closeTo(0.52, 2),
    'last-change': expect.closeTo(1.62, 2),
  });
  expect(made.contributions.map(({ name, isNoise }) => [name, isNoise ?? false])).toEqual([
    ['fit residual', true],
    ['scatter of the plateaus', true],
    ['shape of the fade', false],
  ]);
  const delay = outcome(fadeStartDelay, fading(fadeStartDelay, light));
  expect(delay.value).toBeCloseTo(0.02, 3);
  expect(delay.evidence.notes).toEqual({ 'commanded-start': 0.5, start: expect.closeTo(0.52, 3) });
  expect(delay.evidence.charts.map(({ title }) => title)).toEqual(['Start of the fade of warm']);
  expect(delay.contributions.map(({ name, isNoise }) => [name, isNoise ?? false])).toEqual([
    ['fit residual', true],
    ['scatter of the plateaus', true],
    ['shape of the fade', false],
    ['instant of a sample', false],
    ['instant of the command', false],
  ]);
  expect(standardOf(delay, 'instant of a sample')).toBeCloseTo(0.0005 / Math.sqrt(3), 9);
});

it('a fade that leaves early and arrives late is longer than its line by both', () => {
  // Straight from 0.6 s to 1.4 s, the rest of the way, a twentieth at either end, from 0.5 s and until 1.5 s.
  const way = (t: number): number => {
    if (t < 0.6) return 0.5 * Math.max(0, t - 0.5);
    return t < 1.4 ? 0.05 + (0.9 * (t - 0.6)) / 0.8 : Math.min(1, 0.95 + 0.5 * (t - 1.4));
  };
  const made = outcome(
    fadeDuration,
    fading(fadeDuration, (t) => 0.1 * 5 ** way(t)),
  );
  const notes = Object.fromEntries(
    Object.entries(made.evidence.notes).map(([name, value]) => [name, Number(value)]),
  );
  expect(notes['start']).toBeGreaterThan(0.52);
  expect(notes['arrival']).toBeLessThan(1.48);
  expect(notes['first-change']).toBeLessThan(0.52);
  expect(notes['last-change']).toBeGreaterThan(1.48);
  const longer = (notes['last-change'] ?? 0) - (notes['first-change'] ?? 0) - made.value;
  expect(standardOf(made, 'shape of the fade')).toBeCloseTo(0.55 * longer, 9);
  expect(made.value + 2 * standardOf(made, 'shape of the fade')).toBeGreaterThan(1);
});
