import { describe, expect, it } from 'vitest';
import {
  type CommandedFade,
  commandedFade,
} from '../../../harness/measure/features/fade/commanded-fade.ts';
import { type FadeFit, fitFade } from '../../../harness/measure/features/fade/fit-fade.ts';
import { fadeDuration } from '../../../harness/measure/metrics/fade/fade-duration.ts';
import { isMeasurable } from '../../../harness/measure/outcome.ts';
import { fade, lengthOf, observe, recordOf } from '../lamp-of.ts';

interface Made {
  readonly rate?: number;
  readonly noise?: number;
  readonly seed?: number;
}

function fitted(
  light: (t: number) => number,
  { rate = 1000, noise = 0, seed = 5 }: Made = {},
  segments = fade(1, 0.01, 1, { before: 0.5, after: 0.7 }),
) {
  const waveform = recordOf(light, lengthOf(segments), { rate, noise, seed });
  const observation = observe(fadeDuration, [{ channel: 'warm', segments, waveform }], 'warm');
  const commanded = commandedFade(observation);
  if (!isMeasurable(commanded)) throw new Error(commanded.reason);
  return fitFade(waveform, commanded as CommandedFade);
}

function fit(...made: Parameters<typeof fitted>): FadeFit {
  const found = fitted(...made);
  if (!isMeasurable(found)) throw new Error(JSON.stringify(found));
  return found;
}

const straight =
  (start: number, seconds: number, bottom = 0.01) =>
  (t: number) =>
    bottom ** Math.min(1, Math.max(0, (t - start) / seconds));

describe('the line through a fade', () => {
  it.each([
    [0.5, 1],
    [0.55, 1],
    [0.52, 0.8],
    [0.5, 1.1],
  ])('from %f s for %f s begins and ends where the light does', (start, seconds) => {
    const found = fit(straight(start, seconds));
    // An average over an exponential is not its middle: 2 ms here, were the model not averaged alike.
    expect(Math.abs(found.start - start)).toBeLessThan(5e-5);
    expect(Math.abs(found.end - start - seconds)).toBeLessThan(5e-5);
    expect(found.duration).toBeCloseTo(seconds, 4);
    expect(found.end).toBeCloseTo(found.start + found.duration, 9);
    expect(found.startLevel).toBeCloseTo(1, 5);
    expect(found.endLevel).toBeCloseTo(0.01, 5);
  });

  it('does not heed the plateaus beside it', () => {
    // 2 % more light until it leaves, as much behind it.
    const found = fit(
      (t) =>
        straight(0.5, 1)(t) * (t > 0.45 && t < 0.5 ? 1.02 : 1) + (t > 1.5 && t < 1.55 ? 2e-4 : 0),
    );
    expect(Math.abs(found.start - 0.5)).toBeLessThan(2e-4);
    expect(Math.abs(found.end - 1.5)).toBeLessThan(2e-4);
  });

  it('is as uncertain as its ends scatter from record to record', () => {
    const all = Array.from({ length: 30 }, (_, seed) =>
      fit(straight(0.5, 1), { noise: 0.003, seed }),
    );
    const rms = (of: (one: FadeFit) => number) =>
      Math.sqrt(all.reduce((sum, one) => sum + of(one) ** 2, 0) / all.length);
    const ratios = [
      rms(({ start }) => start - 0.5) / rms(({ standardStart }) => standardStart),
      rms(({ end }) => end - 1.5) / rms((one) => Math.hypot(one.standardEnd, one.standardPlateaus)),
      rms(({ duration }) => duration - 1) /
        rms((one) => Math.hypot(one.standardDuration, one.standardPlateaus)),
    ];
    // Few records, and the end is told by the plateau most.
    for (const ratio of ratios) {
      expect(ratio).toBeGreaterThan(0.45);
      expect(ratio).toBeLessThan(1.6);
    }
    // The dim end is the less certain one.
    expect(rms(({ standardEnd }) => standardEnd)).toBeGreaterThan(
      rms(({ standardStart }) => standardStart),
    );
    // 0.3 % of full light is 30 % of its last level.
    expect(rms(({ standardPlateaus }) => standardPlateaus)).toBeGreaterThan(0.003);
    expect(rms(({ standardPlateaus }) => standardPlateaus)).toBeLessThan(0.006);
  });

  it('is drawn through no more than there is: without noise it is certain', () => {
    const found = fit(straight(0.5, 1));
    for (const standard of [found.standardStart, found.standardEnd, found.standardDuration])
      expect(standard).toBeLessThan(1e-4);
  });
});

describe('there is no line', () => {
  it('in fewer samples than its averages need', () => {
    expect(fitted(straight(0.5, 1), { rate: 31 })).toEqual({
      ...{ measured: false, reason: 'too-slow', found: 31, needed: 32, unit: 'Hz' },
    });
    expect(fitted(straight(0.5, 1), { rate: 32 })).not.toMatchObject({ reason: 'too-slow' });
  });

  it('through light that has gone three quarters of the way before it goes a quarter', () => {
    const segments = fade(1, 0.01, 1, { before: 1.5, after: 0.7 });
    const back = (t: number): number => {
      if (t < 0.25) return 0.1;
      return t < 0.5 ? 0.012 : straight(1.5, 1)(t);
    };
    expect(fitted(back, {}, segments)).toEqual({
      ...{ measured: false, reason: 'no-fade' },
      note: 'the light does not go from one plateau to the other',
    });
  });

  it('through light that jumps', () => {
    expect(fitted((t) => (t < 1 ? 1 : 0.01))).toMatchObject({ duration: expect.any(Number) });
    expect(fitted((t) => (t < 1 ? 1 : 0.01), { rate: 40 })).toEqual({
      ...{ measured: false, reason: 'unresolved' },
      note: 'too few averages lie within the fade for a line',
    });
  });
});
