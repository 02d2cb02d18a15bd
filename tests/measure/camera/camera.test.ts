import { describe, expect, test } from 'vitest';
import { bandPreview } from '../../../harness/measure/charts/camera-charts.ts';
import { rowExposures } from '../../../harness/measure/features/camera/row-exposures.ts';
import { worstFrame } from '../../../harness/measure/features/camera/worst-frame.ts';
import { cameraBandContrast } from '../../../harness/measure/metrics/camera/camera-band-contrast.ts';
import { frameBandContrast } from '../../../harness/measure/metrics/camera/frame-band-contrast.ts';
import type { Frame } from '../../../harness/measure/observation.ts';
import {
  deviates,
  figureOf,
  integrated,
  observing,
  pulses,
  sampled,
  withNoise,
} from '../light-of.ts';

describe('exposures', () => {
  test('whole and broken numbers of samples agree with adding up by hand', () => {
    const samples = Float64Array.of(1, 4, 2, 8, 5);
    const whole = rowExposures(samples, 2);
    expect([...whole.light]).toEqual([2.5, 3, 5, 6.5]);
    const broken = rowExposures(samples, 1.5);
    // Starts 0, 0.5, 1, 1.5, 2, 2.5, 3, 3.5.
    const expected = [3, 4.5, 5, 4, 6, 9, 10.5, 9].map((v) => expect.closeTo(v / 1.5, 12));
    expect([...broken.light]).toEqual(expected);
    expect([0, 1, 2, 3].map(broken.startOf)).toEqual([0, 0.5, 1, 1.5]);
  });

  test('the worst frame is the one that a search over all frames finds', () => {
    const next = deviates(3);
    const values = new Float64Array(300).map(() => 5 + next());
    for (const span of [1, 7, 100, 300, 900]) {
      const width = Math.min(span, 300);
      let best = -1;
      for (let first = 0; first + width <= 300; first++) {
        const part = values.subarray(first, first + width);
        const high = Math.max(...part);
        const low = Math.min(...part);
        best = Math.max(best, (high - low) / (high + low));
      }
      const { high, low } = worstFrame(values, span);
      expect((high - low) / (high + low)).toBe(best);
    }
  });
});

describe('bands', () => {
  const of = (exposure: number, frameRate = 25) => ({ exposure, 'frame-rate': frameRate });

  test('an exposure of whole periods shows none', () => {
    const waveform = integrated(pulses(100, 0.3), 20e3, 0.2);
    expect(figureOf(cameraBandContrast, waveform, of(1 / 50))).toBeLessThan(1e-9);
  });

  test('a fade over many frames is no band', () => {
    const waveform = sampled((t) => 1 + t, 20e3, 2);
    // Within one frame of 1/50 s the light rises by 0.02 of 1 at the most.
    expect(figureOf(cameraBandContrast, waveform, of(1 / 100, 50))).toBeLessThan(0.011);
  });

  test('a fade shades a frame by what it changes from the first row to the last', () => {
    // 1 % of the light is reached in 40 s: a geometric fade has the same contrast in every frame, tanh(rate * frame / 2).
    const rate = Math.log(100) / 40;
    const waveform = sampled((t) => Math.exp(-rate * t), 20e3, 1);
    const shading = Math.tanh((rate * (1 / 24)) / 2);
    for (const exposure of [1 / 50, 1 / 500]) {
      const found = figureOf(cameraBandContrast, waveform, of(exposure, 24));
      expect(found / shading).toBeCloseTo(1, 2);
    }
  });

  test('noise makes none', () => {
    const steady = withNoise(
      sampled(() => 1, 20e3, 1),
      0.01,
    );
    expect(figureOf(cameraBandContrast, steady, of(1 / 500))).toBeLessThan(0.004);
    const square = withNoise(integrated(pulses(100, 0.5, 0.9, 1.1), 20e3, 1), 0.005);
    expect(Math.abs(figureOf(cameraBandContrast, square, of(1 / 1000)) - 0.1)).toBeLessThan(0.003);
  });

  test('the preview picture shows as many bands as periods fit into the read-out', () => {
    const waveform = integrated(pulses(1000, 0.5), 100e3, 0.1);
    const picture = bandPreview(waveform, { exposure: 1 / 4000, readOut: 0.02, at: 0.01 }, 1000);
    expect(picture.length).toBe(1000);
    let rises = 0;
    for (let row = 1; row < 1000; row++) {
      if (picture[row - 1]! < 0.5 && picture[row]! >= 0.5) rises++;
    }
    expect(rises).toBe(20);
    expect(Math.max(...picture)).toBe(1);
    expect(Math.min(...picture)).toBeCloseTo(0, 12);
  });

  test('rows that the record does not hold whole are left out', () => {
    const waveform = sampled(() => 1, 10e3, 0.1);
    const picture = bandPreview(waveform, { exposure: 0.02, readOut: 0.099, at: 0 }, 100);
    expect(picture.length).toBe(81);
    expect([...picture].every((v) => Math.abs(v - 1) < 1e-12)).toBe(true);
  });
});

describe('a real frame', () => {
  const frame = (light: (row: number) => number, rest: Partial<Frame> = {}): Frame => ({
    capture: 'frame',
    at: 0.5,
    rows: Float64Array.from({ length: 1080 }, (_, row) => light(row)),
    lineTime: 15e-6,
    exposure: 1e-3,
    saturated: false,
    ...rest,
  });
  const judged = (...frames: Frame[]) =>
    frameBandContrast.compute({
      ...observing(
        frameBandContrast,
        sampled(() => 1, 1e3, 1),
      ),
      frames,
    });
  const banded = (row: number) => 0.4 * (1 + 0.2 * Math.sin(row / 20));

  test('has the contrast of its rows, noise or not, and the worst frame counts', () => {
    const next = deviates(9);
    const clean = judged(frame(banded));
    const noisy = judged(
      frame((row) => banded(row) + 0.002 * next()),
      frame(() => 0.4),
    );
    expect(clean.measured && clean.value).toBeCloseTo(0.2, 3);
    expect(Math.abs((noisy.measured ? noisy.value : 1) - 0.2)).toBeLessThan(0.005);
  });

  test('is refused when missing, saturated, too low, dark or not finite', () => {
    expect(judged()).toMatchObject({ reason: 'no-record' });
    expect(judged(frame(banded, { at: 3 }))).toMatchObject({ reason: 'no-record' });
    expect(judged(frame(banded, { saturated: true }))).toMatchObject({ reason: 'saturated' });
    expect(judged(frame(banded, { rows: new Float64Array(10).fill(1) }))).toMatchObject({
      reason: 'too-short',
      needed: 64,
    });
    expect(judged(frame(() => 0))).toMatchObject({ reason: 'dark' });
    expect(judged(frame((row) => (row === 7 ? Number.NaN : 1)))).toMatchObject({
      reason: 'not-finite',
    });
  });
});
