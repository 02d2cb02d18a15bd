import { describe, expect, it } from 'vitest';
import type { CommandedFade } from '../../../harness/measure/features/fade/commanded-fade.ts';
import { fadePlateaus } from '../../../harness/measure/features/fade/fade-plateaus.ts';
import { hannNoise } from '../../../harness/measure/signal/hann.ts';
import { sampled, withNoise } from '../light-of.ts';

/** From 1 to 2 s, a second of steady light before and two after. */
function commanded(startLevel: number, endLevel: number, rest: Partial<CommandedFade> = {}) {
  return {
    ...{ from: 1, to: 2, before: { from: 0, to: 1 }, after: { from: 2, to: 4 } },
    ...{ startPlateau: startLevel, endPlateau: endLevel, startLevel, endLevel },
    ...{ logarithmic: true, course: (part: number) => part, straight: true },
    ...rest,
  };
}

const plateausOf = (light: (t: number) => number, fade: CommandedFade, noise = 0) =>
  fadePlateaus(withNoise(sampled(light, 1000, 4), noise), fade);

const dark = {
  ...{ measured: false, reason: 'dark' },
  note: 'no light on a plateau that is commanded to be lit',
};

describe('a plateau', () => {
  it.each([
    ['before', (t: number) => (t < 1.5 ? 0 : 1)],
    ['after', (t: number) => (t < 1.5 ? 1 : 0)],
  ] as const)('%s the fade that should be lit is not dark', (_, light) => {
    expect(plateausOf(light, commanded(0.2, 0.5))).toEqual(dark);
  });

  it('that is commanded dark may do what it likes: it is no measure of the floor', () => {
    // Rises to a tenth of the light while it should be dark.
    const down = (t: number) => (t < 1.5 ? 1 : 0.05 * Math.max(0, t - 2));
    expect(plateausOf(down, commanded(0.5, 0.001, { endPlateau: 0 }))).toMatchObject({
      endLevel: expect.closeTo(0.002, 9),
      standard: expect.closeTo(0, 9),
    });
    const up = (t: number) => (t < 1.5 ? 0.1 * t : 1);
    expect(plateausOf(up, commanded(0.001, 0.5, { startPlateau: 0 }))).toMatchObject({
      startLevel: expect.closeTo(0.002, 9),
      standard: expect.closeTo(0, 9),
    });
    // A lit one may not.
    expect(plateausOf(down, commanded(0.5, 0.05))).toMatchObject({ reason: 'no-plateau' });
  });

  it('is lost where its noise is more than 8 % of the fade', () => {
    const light = (t: number) => (t < 1.5 ? 1 : 0.1);
    // A mean of 1200 samples, against 0.1 ln 10.
    const share = (noise: number) => (hannNoise * noise) / Math.sqrt(1200) / (0.1 * Math.LN10);
    const found = plateausOf(light, commanded(1, 0.1), 0.7);
    expect(found).toEqual({
      ...{ measured: false, reason: 'below-noise', needed: 0.08, unit: '1' },
      found: expect.any(Number),
      note: 'a plateau against the whole fade',
    });
    expect('found' in found && Number(found.found) / share(0.7)).toBeCloseTo(1, 0);
    expect(plateausOf(light, commanded(1, 0.1), 0.4)).toMatchObject({
      startLevel: expect.any(Number),
    });
  });

  it('is known as well as its own noise, at least', () => {
    const light = (t: number) => (t < 1.5 ? 1 : 0.1);
    const found = plateausOf(light, commanded(1, 0.1), 0.01);
    const white = (hannNoise * 0.01) / Math.LN10;
    const least = Math.hypot(white / Math.sqrt(600), white / Math.sqrt(1200) / 0.1);
    expect('standard' in found && found.standard / least).toBeGreaterThan(0.9);
    expect('standard' in found && found.standard / least).toBeLessThan(1.5);
  });
});

it('light that is the same before and after but for rounding does not fade, whatever its size', () => {
  const same = {
    measured: false,
    reason: 'no-fade',
    note: 'the light is the same before and after',
  };
  const linear = { logarithmic: false };
  expect(plateausOf((t) => (t < 1.5 ? 1000 : 1000 + 5e-7), commanded(1, 0.5, linear))).toEqual(
    same,
  );
  expect(plateausOf((t) => (t < 1.5 ? 1e-3 : 1e-3 + 5e-12), commanded(1, 0.5, linear))).not.toEqual(
    same,
  );
  expect(plateausOf((t) => (t < 1.5 ? 1000 : 1000 + 5e-7), commanded(1, 0.5))).toEqual(same);
});
