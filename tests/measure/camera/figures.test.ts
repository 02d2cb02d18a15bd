import { describe, expect, it } from 'vitest';
import { cameraBandContrast } from '../../../harness/measure/metrics/camera/camera-band-contrast.ts';
import { cameraBandSweep } from '../../../harness/measure/metrics/camera/camera-band-sweep.ts';
import { frameBandContrast } from '../../../harness/measure/metrics/camera/frame-band-contrast.ts';
import type { Frame } from '../../../harness/measure/observation.ts';
import type { Measured } from '../../../harness/measure/outcome.ts';
import { extremes } from '../../../harness/measure/signal/extremes.ts';
import { sixthDifferenceNoise } from '../../../harness/measure/signal/noise-level.ts';
import { statistics } from '../../../harness/measure/signal/statistics.ts';
import { expectLawsOfUnits } from '../laws-of-units.ts';
import { deviates, observing, sampled, withNoise } from '../light-of.ts';
import { found, refused } from '../well-formed.ts';

const standards = ({ contributions }: Measured) =>
  Object.fromEntries(contributions.map(({ name, standard }) => [name, standard]));

/** |sin πfT / πfT|: what an exposure of T leaves of a sine of f. */
function sinc(frequency: number, exposure: number): number {
  const x = Math.PI * frequency * exposure;
  return Math.abs(Math.sin(x) / x);
}

const sine = (t: number) => 1 + 0.5 * Math.sin(2 * Math.PI * 100 * t);

describe('the contrast of bands', () => {
  const parameters = { exposure: 1 / 250, 'frame-rate': 25 };

  it('has a fifth of the correction for noise as its uncertainty, and no less than twice that and half a code as its floor', () => {
    const step = 1e-3;
    const record = { ...withNoise(sampled(sine, 16_000, 0.125), 0.01), step };
    const outcome = found(cameraBandContrast, observing(cameraBandContrast, record, parameters));
    const raw = Number(outcome.evidence.notes['raw-contrast']);
    // Of the noise of 64 samples, 0.00125, some two deviations on either side.
    expect(raw - outcome.value).toBeGreaterThan(0.001);
    expect(raw - outcome.value).toBeLessThan(0.005);
    const correction = 0.2 * (raw - outcome.value);
    const own = standards(outcome);
    expect(Object.keys(own)).toEqual([
      'noise correction',
      'edges within samples',
      'course within samples',
    ]);
    expect(own['noise correction']).toBeCloseTo(correction, 12);
    expect(outcome.floor).toBeCloseTo(
      2 * correction + step / 2 / statistics(record.samples).mean,
      12,
    );
    expect(outcome.evidence.charts.map(({ title }) => title)).toEqual([
      'Worst frame on camera',
      expect.any(String),
    ]);
    expect(outcome.evidence.charts[0]?.lines[0]?.x.at(-1)).toBeCloseTo(1 / 25, 9);
  });

  it('doubts the course of a sine by an eighth of its bend, and the edges of a square wave', () => {
    const smooth = found(
      cameraBandContrast,
      observing(cameraBandContrast, sampled(sine, 16_000, 0.125), parameters),
    );
    const bend = 2 * 0.5 * sinc(100, 1 / 250) * (2 - 2 * Math.cos((2 * Math.PI * 100) / 16_000));
    expect(standards(smooth)['course within samples']).toBeCloseTo(bend / 8 / Math.sqrt(3) / 2, 7);
    expect(standards(smooth)['edges within samples']).toBe(0);
    expect(smooth.floor).toBeLessThan(1e-6);
    // Sixteen edges in 0.08 s, of which those at its very ends do not show; 64 samples an exposure.
    const square = found(
      cameraBandContrast,
      observing(
        cameraBandContrast,
        sampled((t) => (t * 100 - Math.floor(t * 100) < 0.5 ? 3 : 1), 16_000, 0.08),
        parameters,
      ),
    );
    const density = 15 / (16_000 * 0.08);
    expect(standards(square)['edges within samples']).toBeCloseTo(
      (2 * 0.8 * Math.sqrt(1 + density * 64)) / 64 / 4,
      9,
    );
  });

  it('is the same in every unit', () => {
    const record = { ...withNoise(sampled(sine, 16_000, 0.125), 0.01), step: 1e-3 };
    expectLawsOfUnits(cameraBandContrast, observing(cameraBandContrast, record, parameters));
    expectLawsOfUnits(cameraBandContrast, observing(cameraBandContrast, record, { exposure: 1 }));
  });

  it('is not told of a record that is unsound or shorter than its frame', () => {
    const short = observing(cameraBandContrast, sampled(sine, 16_000, 0.04), parameters);
    expect(refused(cameraBandContrast, short)).toMatchObject({
      reason: 'too-short',
      found: 0.04,
      needed: expect.closeTo(0.044, 12),
    });
    const slow = observing(cameraBandContrast, sampled(sine, 1900, 0.2), parameters);
    expect(refused(cameraBandContrast, slow)).toMatchObject({ reason: 'too-slow', needed: 2000 });
    const dark = observing(
      cameraBandContrast,
      sampled(() => 0, 16_000, 0.2),
      parameters,
    );
    expect(refused(cameraBandContrast, dark).reason).toBe('dark');
  });
});

describe('the worst contrast over the usual exposures', () => {
  const record = sampled(sine, 40_000, 0.125);
  const over = (shortest: number, waveform = record) =>
    found(cameraBandSweep, observing(cameraBandSweep, waveform, { 'shortest-exposure': shortest }));

  it('names its exposure and draws all of them, the shortest first (|sin x / x|)', () => {
    const outcome = over(1 / 500);
    expect(outcome.value).toBeCloseTo(0.5 * sinc(100, 1 / 500), 4);
    expect(outcome.evidence.notes).toEqual({ 'worst-exposure': 1 / 500 });
    const [chart, bands] = outcome.evidence.charts;
    const x = [500, 250, 125, 120, 100, 60, 50, 48, 30, 25, 24].map((perSecond) => 1 / perSecond);
    expect(chart).toEqual({
      kind: 'curve',
      title: 'Contrast over exposure time',
      x: { label: 'exposure', unit: 's', scale: 'log' },
      y: { label: 'contrast of bands', unit: '1', scale: 'linear' },
      lines: [
        {
          name: 'contrast',
          role: 'measured',
          x,
          y: x.map((exposure) => expect.closeTo(0.5 * sinc(100, exposure), 4)),
        },
      ],
      marks: [],
    });
    expect(bands?.title).toBe('Worst frame on camera');
    expect(bands?.lines[0]?.x.at(-1)).toBeCloseTo(1 / 24, 9);
  });

  it('includes the usual exposure that the shortest is, to a part in a million', () => {
    const worst = (shortest: number) => over(shortest).evidence.notes['worst-exposure'];
    expect(worst((1 / 500) * (1 + 5e-7))).toBe(1 / 500);
    expect(worst((1 / 500) * (1 + 2e-6))).toBe(1 / 250);
    expect(worst(1 / 600)).toBe(1 / 500);
    expect(worst(1 / 24)).toBe(1 / 24);
  });

  it('is the longest exposure where no exposure shows bands', () => {
    const steady = sampled(() => 1, 40_000, 0.125, { step: 0.01 });
    const outcome = over(1 / 500, steady);
    expect(outcome).toMatchObject({ value: 0, floor: 0.005 });
    expect(outcome.evidence.notes).toEqual({ 'worst-exposure': 1 / 24 });
  });

  it('has the doubts of its exposure: noise, edges, course', () => {
    const step = 1e-3;
    const noisy = { ...withNoise(record, 0.01), step };
    const outcome = over(1 / 500, noisy);
    const parameters = { exposure: 1 / 500, 'frame-rate': 24 };
    const alone = found(cameraBandContrast, observing(cameraBandContrast, noisy, parameters));
    expect(outcome.value).toBe(alone.value);
    expect(outcome.contributions).toEqual(alone.contributions);
    expect(outcome.floor).toBe(alone.floor);
    expect(standards(outcome)['noise correction']).toBeGreaterThan(1e-4);
    const correction = 0.2 * (Number(alone.evidence.notes['raw-contrast']) - alone.value);
    expect(standards(outcome)['noise correction']).toBeCloseTo(correction, 12);
    expect(outcome.floor).toBeCloseTo(
      2 * correction + step / 2 / statistics(noisy.samples).mean,
      12,
    );
  });

  it('needs 16 kS/s, two frames of 1/24 s, eight samples in the shortest exposure, and an exposure', () => {
    const why = (waveform: typeof record, shortest = 1 / 500) =>
      refused(
        cameraBandSweep,
        observing(cameraBandSweep, waveform, { 'shortest-exposure': shortest }),
      );
    expect(why(sampled(sine, 15_000, 0.125))).toMatchObject({
      reason: 'too-slow',
      found: 15_000,
      needed: 16_000,
    });
    expect(why(sampled(sine, 40_000, 0.08))).toMatchObject({
      reason: 'too-short',
      needed: 2 / 24,
    });
    expect(why(record, 1 / 8000)).toMatchObject({
      reason: 'too-slow',
      needed: 64_000,
      note: 'an exposure must hold 8 samples',
    });
    expect(why(record, 1 / 10)).toMatchObject({ reason: 'out-of-domain', found: 1 / 10 });
    expect(why(sampled(() => 0, 40_000, 0.125)).reason).toBe('dark');
  });
});

describe('the contrast of a real frame', () => {
  const light = observing(
    frameBandContrast,
    sampled(() => 1, 1000, 1),
  );
  const frameOf = (row: (k: number) => number, rest: Partial<Frame> = {}, count = 1000): Frame => ({
    ...{ capture: 'frame', at: 0.5, lineTime: 2e-5, exposure: 1e-3, saturated: false },
    rows: Float64Array.from({ length: count }, (_, k) => row(k)),
    ...rest,
  });
  const observed = (...frames: readonly Frame[]) => ({ ...light, records: [], frames });
  const coarse = (k: number) => 0.4 * (1 + 0.2 * Math.sin(k * 0.9));

  it.each([0.2, 0.995])(
    'doubts what lies between two rows, by what either extreme does to the contrast (GUM), %f',
    (depth) => {
      const frame = frameOf((k) => 0.4 * (1 + depth * Math.sin(k * 0.9)));
      const outcome = found(frameBandContrast, observed(frame));
      const { rows } = frame;
      const seen = extremes(rows, statistics(rows), sixthDifferenceNoise(rows));
      const contrast = (low: number, high: number) => (high - low) / (high + low);
      const by = 1e-6;
      const toHigh = (contrast(seen.low, seen.high + by) - contrast(seen.low, seen.high)) / by;
      const toLow = (contrast(seen.low - by, seen.high) - contrast(seen.low, seen.high)) / by;
      expect(outcome.value).toBeCloseTo(contrast(seen.low, seen.high), 12);
      // Rows reach down to nothing: a rectangle.
      const lowBetween = Math.min(seen.lowBetween, seen.low / Math.sqrt(3));
      expect(lowBetween < seen.lowBetween).toBe(depth > 0.9);
      const between = standards(outcome)['bands between rows'] ?? 0;
      expect(between).toBeGreaterThan(1e-4);
      expect(between / (toHigh * seen.highBetween + toLow * lowBetween)).toBeCloseTo(1, 3);
    },
  );

  it('has a fifth of the correction for noise as its uncertainty, and twice that as its floor', () => {
    const next = deviates(4);
    const outcome = found(
      frameBandContrast,
      observed(frameOf((k) => 0.4 * (1 + 0.2 * Math.sin(k / 40)) + 0.004 * next())),
    );
    const { notes, charts } = outcome.evidence;
    const correction = 0.2 * (Number(notes['raw-contrast']) - outcome.value);
    expect(correction).toBeGreaterThan(1e-4);
    expect(standards(outcome)).toEqual({
      'noise correction': expect.closeTo(correction, 12),
      'bands between rows': expect.any(Number),
    });
    expect(outcome.floor).toBeCloseTo(2 * correction, 12);
    expect(notes).toEqual({
      exposure: 1e-3,
      'line-time': 2e-5,
      'raw-contrast': expect.any(Number),
    });
    expect(charts).toHaveLength(1);
  });

  it('has the contrast of its highest and lowest row where there is no noise, as the raw one', () => {
    const outcome = found(
      frameBandContrast,
      observed(frameOf((k) => (Math.floor(k / 50) % 2 ? 3 : 1))),
    );
    expect(outcome.value).toBeCloseTo(0.5, 12);
    expect(outcome.evidence.notes['raw-contrast']).toBeCloseTo(0.5, 12);
  });

  it('is drawn relative to its brightest row, over the time of its rows', () => {
    const { evidence } = found(
      frameBandContrast,
      observed(frameOf((k) => (Math.floor(k / 50) % 2 ? 4 : 1), {}, 400)),
    );
    expect(evidence.charts).toEqual([
      {
        kind: 'bands',
        title: 'Rows of the frame',
        x: { label: 'start of the row', unit: 's', scale: 'linear' },
        y: { label: 'light relative to the brightest row', unit: '1', scale: 'linear' },
        lines: [
          {
            name: 'row',
            role: 'measured',
            x: Array.from({ length: 400 }, (_, k) => expect.closeTo(k * 2e-5, 12)),
            y: Array.from({ length: 400 }, (_, k) => (Math.floor(k / 50) % 2 ? 1 : 0.25)),
          },
        ],
        marks: [],
      },
    ]);
  });

  it('is one where the darkest rows are dark, or below it by noise', () => {
    for (const low of [0, -0.001]) {
      const row = (k: number) => (Math.floor(k / 50) % 2 ? 1 : low);
      const outcome = found(frameBandContrast, observed(frameOf(row)));
      expect(outcome.value).toBe(1);
      expect(outcome.evidence.notes['raw-contrast']).toBe(1);
      expect(standards(outcome)['bands between rows']).toBe(0);
    }
  });

  it('is that of the worst frame in the window, whichever comes first', () => {
    const weak = frameOf((k) => 1 + 0.1 * (Math.floor(k / 50) % 2), { exposure: 2e-3 });
    const strong = frameOf((k) => 1 + (Math.floor(k / 50) % 2), { exposure: 3e-3 });
    const equal = { ...strong, exposure: 4e-3 };
    const exposureOf = (...frames: readonly Frame[]) =>
      found(frameBandContrast, observed(...frames)).evidence.notes['exposure'];
    expect(exposureOf(weak, strong)).toBe(3e-3);
    expect(exposureOf(strong, weak)).toBe(3e-3);
    expect(exposureOf(strong, equal)).toBe(3e-3);
    const from = { ...strong, at: 0 };
    for (const at of [-1e-9, 0, 1, 1 + 1e-9]) expect(exposureOf(weak, { ...from, at })).toBe(3e-3);
    for (const at of [-2e-9, 1 + 2e-9]) expect(exposureOf(weak, { ...from, at })).toBe(2e-3);
  });

  it('is not told of too few rows, of one that is no number, nor of the dark', () => {
    const steady = (k: number) => 1 + 0.1 * (k % 2);
    expect(found(frameBandContrast, observed(frameOf(steady, {}, 64))).measured).toBe(true);
    expect(refused(frameBandContrast, observed(frameOf(steady, {}, 63)))).toMatchObject({
      reason: 'too-short',
      found: 63,
      needed: 64,
      note: 'rows of the frame',
    });
    expect(refused(frameBandContrast, observed())).toEqual({
      measured: false,
      reason: 'no-record',
      note: 'no frame in the window',
    });
    // A mean is told from noise by five of its standard deviations.
    const next = deviates(8);
    const noise = Float64Array.from({ length: 1000 }, () => next());
    const limit = (5 * sixthDifferenceNoise(noise)) / Math.sqrt(1000) - statistics(noise).mean;
    const brighter = (by: number) => frameOf((k) => (noise[k] ?? 0) + limit + by);
    expect(found(frameBandContrast, observed(brighter(1e-3))).measured).toBe(true);
    expect(refused(frameBandContrast, observed(brighter(-1e-3)))).toEqual({
      measured: false,
      reason: 'dark',
      found: expect.closeTo(limit + statistics(noise).mean - 1e-3, 9),
      needed: expect.closeTo(limit + statistics(noise).mean, 9),
      unit: '1',
      note: 'mean of the rows',
    });
    expect(refused(frameBandContrast, observed(frameOf(() => 0))).reason).toBe('dark');
  });

  it('is not told where any frame of the window is unsound', () => {
    const sound = frameOf(coarse);
    const saturated = { ...sound, saturated: true };
    expect(refused(frameBandContrast, observed(sound, saturated)).reason).toBe('saturated');
    for (const row of [0, 3, 999]) {
      const broken = frameOf((k) => (k === row ? Number.NaN : 1));
      expect(refused(frameBandContrast, observed(broken, sound)).reason).toBe('not-finite');
    }
  });
});
