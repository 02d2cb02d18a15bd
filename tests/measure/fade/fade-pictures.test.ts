import { expect, it } from 'vitest';
import { refusalCharts } from '../../../harness/measure/charts/refusal-charts.ts';
import type { Line } from '../../../harness/measure/evidence.ts';
import { arrivalSpread } from '../../../harness/measure/metrics/fade/channel-spread.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { fade, lengthOf, levelAt, observe, recordOf } from '../lamp-of.ts';

const segments = fade(1, 0.001, 2);

function channel(name: string, really: (t: number) => number) {
  const waveform = recordOf(really, lengthOf(segments), { noise: 1e-6 });
  return { channel: name, segments, waveform };
}

const sound = (t: number) => levelAt(segments, t);
const straightInLight = (t: number) => 1 - 0.999 * Math.min(1, Math.max(0, (t - 0.3) / 2));

function valueAt({ x, y }: Line, at: number): number {
  const k = x.findIndex((time) => time >= at);
  return y[k] ?? Number.NaN;
}

it('a picture of a fade shows command, light and fit, in levels of full light', () => {
  const slow = (t: number) => levelAt(segments, 0.3 + (t - 0.3) / 1.1);
  const outcome = fadeDuration.compute(observe(fadeDuration, [channel('warm', slow)], 'warm'));
  if (!outcome.measured) throw new Error(outcome.reason);
  const [chart] = outcome.evidence.charts;
  const [commanded, fit, measured] = chart?.lines ?? [];
  expect(chart?.lines.map(({ role }) => role)).toEqual(['commanded', 'fit', 'measured']);
  expect(chart?.marks).toEqual([
    { at: expect.closeTo(0.3, 6), label: 'commanded start' },
    { at: expect.closeTo(2.3, 6), label: 'commanded end' },
  ]);
  // The command ends where it was told to, whatever the light did; the fit follows the light.
  if (!commanded || !fit || !measured) throw new Error('no lines');
  expect(valueAt(commanded, 2.3)).toBeCloseTo(0.001, 6);
  expect(fit.x[2]).toBeCloseTo(2.5, 2);
  expect(Math.abs(valueAt(measured, 1.4) / 0.001 ** (1.1 / 2.2) - 1)).toBeLessThan(0.05);
});

it('a fade that no line describes is drawn against its command, without a fit', () => {
  const observation = observe(fadeDuration, [channel('warm', straightInLight)], 'warm');
  expect(fadeDuration.compute(observation)).toMatchObject({ reason: 'not-a-straight-fade' });
  const [chart] = refusalCharts(fadeDuration, observation);
  expect(chart?.lines.map(({ role }) => role)).toEqual(['commanded', 'measured']);
  const [commanded, measured] = chart?.lines ?? [];
  if (!commanded || !measured) throw new Error('no lines');
  // Half of the fade's time: 3.2 % is commanded and 50 % given.
  expect(valueAt(measured, 1.3)).toBeCloseTo(0.5, 1);
  expect(commanded.y).toContainEqual(expect.closeTo(0.001, 6));
});

it('all channels of a crossfade share one picture and one command', () => {
  const channels = [channel('warm', straightInLight), channel('cool', sound)];
  const [chart] = refusalCharts(arrivalSpread, observe(arrivalSpread, channels, 'lamp'));
  expect(chart?.lines.map(({ name }) => name)).toEqual(['commanded', 'warm', 'cool']);
  const [commanded, warm, cool] = chart?.lines ?? [];
  if (!commanded || !warm || !cool) throw new Error('no lines');
  expect(commanded.y).toEqual([0, 0, 1, 1]);
  expect(valueAt(cool, 1.3)).toBeCloseTo(0.5, 1);
  expect(valueAt(warm, 1.3)).toBeCloseTo(0.1, 1);
});

it('a spike of a millisecond stays in the picture of a fade of two minutes', () => {
  const long = fade(1, 0.5, 120);
  const really = (t: number) => (Math.abs(t - 60.0107) < 0.02 ? 0.95 : levelAt(long, t));
  const waveform = recordOf(really, lengthOf(long), { rate: 2000 });
  const made = [{ channel: 'warm', segments: long, waveform }];
  const [chart] = refusalCharts(fadeDuration, observe(fadeDuration, made, 'warm'));
  const measured = chart?.lines.find(({ role }) => role === 'measured');
  const middle = measured?.y.filter((_, k) => Math.abs((measured.x[k] ?? 0) - 60) < 5) ?? [];
  expect(Math.max(...middle) - Math.min(...middle)).toBeGreaterThan(0.03);
});
