import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { afterglowTime } from '../../../harness/measure/metrics/level/afterglow-time.ts';
import { dropouts } from '../../../harness/measure/metrics/level/dropouts.ts';
import { blackouts, flashes } from '../../../harness/measure/metrics/level/event-count.ts';
import {
  longestBlackout,
  longestFlash,
} from '../../../harness/measure/metrics/level/event-length.ts';
import { deepestDip, highestFlash } from '../../../harness/measure/metrics/level/event-size.ts';
import { highestLevel } from '../../../harness/measure/metrics/level/extreme-level.ts';
import { levelDrift } from '../../../harness/measure/metrics/level/level-drift.ts';
import {
  levelError,
  levelErrorLightness,
} from '../../../harness/measure/metrics/level/level-error.ts';
import { levelNoise } from '../../../harness/measure/metrics/level/level-noise.ts';
import { levelRatio } from '../../../harness/measure/metrics/level/level-ratio.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { fade, lengthOf, type Made, observe, recordOf, steps } from '../lamp-of.ts';
import { expectLawsOfUnits } from '../laws-of-units.ts';
import { found, refused } from '../well-formed.ts';

const windows = { reference: { from: 0, to: 0.5 }, window: { from: 0.5, to: 1 } };

/** Levels of half a second each; `really` is the light by the time. */
function levelsOf(
  metric: Metric,
  levels: readonly number[],
  really: (t: number) => number,
  made: Made = {},
  change: Partial<Observation> = windows,
): Observation {
  const segments = steps(levels.map((level) => [level, 0.5]));
  const waveform = recordOf(really, lengthOf(segments), { rate: 4096, ...made });
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm', change);
}

function budgetOf(metric: Metric, observation: Observation) {
  const { contributions } = found(metric, observation);
  return Object.fromEntries(
    contributions.map(({ name, standard, isNoise }) => [`${name}${isNoise ? '*' : ''}`, standard]),
  );
}

describe('a level against a reference that both rise by 1 %', () => {
  // The eight pieces of a window lie an eighth of the rise apart: their standard deviation is √6 of that, that of their mean √(6/8);
  // times Student's factor of 7 degrees of freedom, 2.429 / 2 (closed form).
  const rise = 0.01;
  const relative = 1.2144 * Math.sqrt(6 / 8) * (rise / 8);
  const rising = (level: number) => (t: number) =>
    (t < 0.5 ? 1 : level) * (1 + rise * (2 * t - Math.floor(2 * t) - 0.5));

  it('has the scatter of both windows', () => {
    const both = Math.SQRT2 * relative;
    const name = 'scatter within the windows*';
    const at = (metric: Metric) => levelsOf(metric, [1, 0.2], rising(0.22));
    expect(budgetOf(levelRatio, at(levelRatio))).toEqual({
      [name]: expect.closeTo(0.22 * both, 5),
    });
    expect(budgetOf(levelError, at(levelError))).toEqual({ [name]: expect.closeTo(1.1 * both, 5) });
    // dL*/dY = 116/3 Y^(-2/3) (CIE 15 8.2.1).
    expect(budgetOf(levelErrorLightness, at(levelErrorLightness))).toEqual({
      [name]: expect.closeTo((116 / 3) * 0.22 ** (-2 / 3) * 0.22 * both, 3),
    });
  });

  it('says what it has set in relation', () => {
    const notes = (metric: Metric) =>
      found(metric, levelsOf(metric, [0.5, 0.1], rising(0.2))).evidence.notes;
    const near = (expected: number) => expect.closeTo(expected, 5);
    expect(notes(levelRatio)).toEqual({ mean: near(0.2), reference: near(1) });
    const ratios = { 'level-ratio': near(0.2), 'commanded-ratio': near(0.2) };
    expect(notes(levelError)).toEqual(ratios);
    expect(notes(levelErrorLightness)).toEqual(ratios);
    // White is full light, of which the reference was commanded to be half.
    const lightness = (level: number) => 116 * Math.cbrt(level) - 16;
    const outcome = found(
      levelErrorLightness,
      levelsOf(levelErrorLightness, [0.5, 0.1], rising(0.24)),
    );
    expect(outcome.value).toBeCloseTo(lightness(0.12) - lightness(0.1), 3);
  });

  it('has the white noise of few samples, or of a level on its way', () => {
    const noise = 0.01;
    const few = levelsOf(levelRatio, [1, 0.2], (t) => (t < 0.5 ? 1 : 0.2), { rate: 120, noise });
    const standard = budgetOf(levelRatio, few)['scatter within the windows*'] ?? 0;
    const expected = noise * Math.sqrt(1.5 / 60) * Math.hypot(1, 0.2);
    expect(standard / expected).toBeGreaterThan(0.6);
    expect(standard / expected).toBeLessThan(1.5);
    const segments = [
      { from: 0, to: 0.5, startLevel: 1, endLevel: 1 },
      { from: 0.5, to: 1, startLevel: 1, endLevel: 0.5 },
    ];
    const really = (t: number) => (t < 0.5 ? 1 : 0.5 ** (2 * t - 1));
    const waveform = recordOf(really, 1, { rate: 4096, noise });
    const moving = observe(levelRatio, [{ channel: 'warm', segments, waveform }], 'warm', windows);
    // Mean of a falling exponential: (1 - 0.5) / ln 2 (closed form); the plain mean of 2048 samples, the tapered one of the reference.
    const ratio = 0.5 / Math.LN2;
    expect(found(levelRatio, moving).value).toBeCloseTo(ratio, 2);
    const own = budgetOf(levelRatio, moving)['scatter within the windows*'] ?? 0;
    const least = noise / Math.sqrt(2048);
    expect(own / least).toBeGreaterThan(1);
    expect(own / least).toBeLessThan(2.2);
  });

  it.each([levelRatio, levelError, levelErrorLightness])(
    'has the same $id in every unit',
    (metric) => {
      expectLawsOfUnits(metric, levelsOf(metric, [1, 0.2], rising(0.22), { noise: 1e-3 }));
      expectLawsOfUnits(
        metric,
        levelsOf(metric, [1, 0.2], () => 0),
      );
      expectLawsOfUnits(
        metric,
        levelsOf(metric, [0, 0.2], () => 0.1),
      );
    },
  );

  it('is refused in words where one of both is missing', () => {
    const { reference: _, ...without } = levelsOf(levelRatio, [1, 0.2], () => 1);
    expect(refused(levelRatio, without)).toMatchObject({
      reason: 'no-reference',
      note: 'the criterion names no reference window',
    });
    const dark = levelsOf(levelRatio, [1, 0.2], (t) => (t < 0.5 ? 0 : 1));
    expect(refused(levelRatio, dark)).toMatchObject({
      reason: 'dark',
      note: 'no light in the reference window',
    });
    for (const metric of [levelError, levelErrorLightness])
      expect(
        refused(
          metric,
          levelsOf(metric, [0, 0.2], () => 1),
        ),
      ).toMatchObject({
        reason: 'no-reference',
        note: 'dark is commanded there',
      });
    expect(
      refused(
        levelError,
        levelsOf(levelError, [1, 0], () => 1),
      ),
    ).toMatchObject({
      reason: 'dark',
      note: 'no light is commanded',
    });
  });
});

describe('a steady level', () => {
  const whole = { parameters: { smoothing: 0.03125 } };
  const steady = (
    metric: Metric,
    really: (t: number) => number,
    made: Made = {},
    parameters: Observation['parameters'] = whole.parameters,
  ) => levelsOf(metric, [1, 1, 1, 1], really, made, { parameters });

  it('has the noise of its slow ripple, less that of the sensor', () => {
    // A sine of 2 Hz over whole periods: rms m/√2, of which the Hann means leave almost all (closed form: 1/(1 - (fT)²) sinc).
    const ripple = (t: number) => 0.5 * (1 + 0.02 * Math.sin(2 * Math.PI * 2 * t));
    const { value, evidence, contributions } = found(levelNoise, steady(levelNoise, ripple));
    expect(value / (0.02 / Math.SQRT2)).toBeCloseTo(1, 1);
    const count = 2 * (2 / 0.03125) - 1;
    expect(evidence.notes).toEqual({
      mean: expect.closeTo(0.5, 3),
      averages: count,
      'sensor-noise': expect.any(Number),
    });
    expect(evidence.charts.map(({ title }) => title)).toEqual(['Steady level']);
    // The root of a mean square that n / 1.6 averages tell: 1/√(2n/1.6) of itself, upwards a little less.
    const [only] = contributions;
    expect(only).toMatchObject({ name: 'number of averages', isNoise: true });
    expect((only?.standard ?? 0) / value / Math.sqrt(1.6 / (2 * count))).toBeCloseTo(1, 0);
    const noisy = found(
      levelNoise,
      steady(levelNoise, () => 0.5, { noise: 0.01 }),
    );
    const sensor = (0.01 / 0.5) * Math.sqrt(1.5 / 128);
    expect(Number(noisy.evidence.notes['sensor-noise']) / sensor).toBeCloseTo(1, 1);
    expect(noisy.value).toBeLessThan(0.5 * sensor);
  });

  it('drifts by what it changes from its first to its last average', () => {
    for (const sign of [1, -1]) {
      const { value, evidence, contributions } = found(
        levelDrift,
        steady(levelDrift, (t) => 0.5 * (1 + sign * 0.04 * (t - 1))),
      );
      // 8 % over 2 s; between the middles of the outer averages lie 2 s less one of them.
      const change = 0.04 * (2 - 0.03125);
      expect(value).toBeCloseTo(change, 4);
      expect(evidence.notes).toEqual({
        change: expect.closeTo(sign * change, 4),
        mean: expect.closeTo(0.5, 6),
      });
      // Half an average lies before the first middle and behind the last: as much again as half of one step each, on both sides.
      expect(contributions).toEqual([
        { name: 'noise of the stretches', standard: expect.closeTo(0, 4), isNoise: true },
        {
          name: 'before the first average and after the last',
          standard: expect.closeTo(0.55 * 0.04 * 0.03125, 6),
        },
        { name: 'rounding of the stretches', standard: 0, isNoise: true },
      ]);
    }
  });

  it('has a least-squares line that noise tilts by as much as it says', () => {
    // Closed form: n half-overlapping averages of noise s tilt the line by s √(1.6 · 12 / n) over its span.
    const noise = 0.02;
    const single = (noise / 0.5) * Math.sqrt(1.5 / 128);
    const expected = single * Math.sqrt((1.6 * 12) / 127);
    const drifts = (t: number) => 0.5 * (1 + 0.02 * (t - 1));
    const { value, contributions } = found(levelDrift, steady(levelDrift, drifts, { noise }));
    expect(Math.abs(value - 0.04)).toBeLessThan(8 * expected);
    const standard = contributions[0]?.standard ?? 0;
    expect(standard / expected).toBeGreaterThan(0.7);
    expect(standard / expected).toBeLessThan(2.5);
  });

  it('drops out as often as it does, and says when first', () => {
    const dips = (t: number) => ((t > 0.6 && t < 0.7) || (t > 1.2 && t < 1.203) ? 0 : 0.5);
    const { value, evidence } = found(dropouts, steady(dropouts, dips));
    expect(value).toBe(2);
    expect(evidence.notes).toMatchObject({ first: expect.closeTo(0.6, 2) });
    expect(
      found(
        dropouts,
        steady(dropouts, () => 0.5),
      ).evidence.notes,
    ).toEqual({ mean: 0.5 });
    const deep = { smoothing: 0.03125, depth: 0.95 };
    expect(
      refused(
        dropouts,
        steady(dropouts, () => 0.5, { noise: 0.1 }, deep),
      ),
    ).toEqual({
      measured: false,
      reason: 'below-noise',
      found: expect.closeTo(0.05, 9),
      needed: expect.closeTo(5 * (0.1 / 0.5) * Math.sqrt(1.5 / 128), 1),
      unit: '1',
      note: 'depth of a dropout',
    });
  });

  it('has to be longer than ten averages, and lit', () => {
    for (const metric of [levelNoise, levelDrift, dropouts]) {
      const short = { ...steady(metric, () => 0.5), window: { from: 0, to: 0.17 } };
      expect(refused(metric, short)).toMatchObject({
        reason: 'too-short',
        needed: expect.closeTo(5.5 * 0.03125, 9),
        unit: 's',
      });
      found(metric, { ...short, window: { from: 0, to: 0.1725 } });
      const dark = steady(metric, () => 0, { noise: 1e-3 });
      expect(refused(metric, dark)).toMatchObject({
        reason: 'dark',
        needed: expect.closeTo(3e-3 * Math.sqrt(1.5 / 128), 4),
        unit: 'A',
      });
      expect(
        refused(
          metric,
          steady(metric, () => 0),
        ).reason,
      ).toBe('dark');
    }
  });

  it.each([levelNoise, levelDrift, dropouts])('has the same $id in every unit', (metric) => {
    const parameters = { smoothing: 0.03125, depth: 0.5 };
    const really = (t: number) =>
      t > 1 && t < 1.01 ? 0 : 0.5 + 0.02 * t + 0.003 * Math.sin(2 * Math.PI * 2.3 * t);
    expectLawsOfUnits(metric, steady(metric, really, { noise: 1e-3 }, parameters));
    expectLawsOfUnits(metric, steady(metric, really, { noise: 0.5 }, parameters));
  });
});

describe('a light that goes off', () => {
  const parameters = { threshold: 1e-3, smoothing: 1 / 256, shortest: 1 / 256 };
  const glow = (t: number) => (t < 0.5 ? 1 : 0.5 * Math.exp(-(t - 0.5) / 0.03));
  const asked = (metric: Metric, really: (t: number) => number, noise: number) => {
    const observation = levelsOf(metric, [1, 0], really, { noise }, { ...windows, parameters });
    return { ...observation, commanded: { ...observation.commanded, standardInstant: 3e-3 } };
  };

  it('glows on for as long as it does, known to half an average and to the instant of the command', () => {
    const outcome = found(afterglowTime, asked(afterglowTime, glow, 1e-6));
    // τ ln(0.5 / threshold) (closed form).
    expect(outcome.value).toBeCloseTo(0.03 * Math.log(500), 2);
    expect(outcome.contributions).toEqual([
      { name: 'flank of the average', standard: expect.closeTo(1 / 512 / Math.sqrt(3), 9) },
      { name: 'instant of the command', standard: 3e-3 },
    ]);
    expect(outcome.evidence.notes).toEqual({
      off: 0.5,
      dark: expect.closeTo(0.5 + outcome.value, 9),
    });
    expect(outcome.floor).toBe(outcome.value);
    const none = found(
      afterglowTime,
      asked(afterglowTime, (t) => (t < 0.5 ? 1 : 0), 1e-6),
    );
    expect(none.value).toBeLessThan(1 / 512);
    expect(none.floor).toBeCloseTo(1 / 512, 9);
  });

  it('is not told where noise hides the threshold, and says what would do', () => {
    expect(refused(afterglowTime, asked(afterglowTime, glow, 2e-3))).toEqual({
      measured: false,
      reason: 'below-noise',
      found: expect.closeTo(1e-3, 6),
      needed: expect.closeTo(5 * 2e-3 * Math.sqrt(1.5 / 16), 3),
      unit: '1',
      note: 'the threshold',
    });
    expect(
      refused(
        afterglowTime,
        asked(afterglowTime, () => 1, 0),
      ),
    ).toMatchObject({
      reason: 'no-plateau',
      note: 'the light does not go off within the window',
    });
  });

  it('has a highest level, known to the scatter of the reference', () => {
    const flash = (t: number) => (t < 0.5 ? 1 : t > 0.7 && t < 0.72 ? 0.3 : 0);
    const outcome = found(highestLevel, asked(highestLevel, flash, 1e-3));
    expect(outcome.value).toBeCloseTo(0.3, 2);
    expect(outcome.evidence.notes).toEqual({
      at: expect.closeTo(0.71, 1),
      reference: expect.closeTo(1, 3),
    });
    const names = outcome.contributions.map(({ name, isNoise }) => [name, isNoise ?? false]);
    expect(names).toEqual([
      ['noise of the averages', true],
      ['between two averages', false],
      ['scatter of the reference', true],
    ]);
    const [own, , reference] = outcome.contributions.map(({ standard }) => standard);
    // White noise of a mean over 16 samples, and of a Hann mean over 2048.
    expect((own ?? 0) / (1e-3 / 4)).toBeGreaterThan(0.6);
    expect((own ?? 0) / (1e-3 / 4)).toBeLessThan(2.5);
    const white = 0.3 * 1e-3 * Math.sqrt(1.5 / 2048);
    expect((reference ?? 0) / white).toBeGreaterThan(0.4);
    expect((reference ?? 0) / white).toBeLessThan(2.5);
    const none = found(
      highestLevel,
      asked(highestLevel, (t) => (t < 0.5 ? 1 : 0), 1e-3),
    );
    expect((none.floor ?? 0) / (2e-3 / 4)).toBeGreaterThan(0.9);
    expect((none.floor ?? 0) / (2e-3 / 4)).toBeLessThan(2.5);
  });

  it.each([afterglowTime, highestLevel])('has the same $id in every unit', (metric) => {
    expectLawsOfUnits(metric, asked(metric, glow, 1e-4));
    expectLawsOfUnits(metric, asked(metric, glow, 5e-3));
    expectLawsOfUnits(
      metric,
      asked(metric, () => 0, 1e-4),
    );
  });
});

describe('events in light', () => {
  const parameters = { shortest: 1 / 1024, longest: 1 / 64, depth: 0.5, height: 0.5 };
  const within = (event: (t: number) => number, made: Made = {}, moving = false) => {
    const segments = moving
      ? fade(0.8, 0.2, 0.5, { before: 0.1, after: 0.1 })
      : steps([[0.5, 0.5]]);
    const level = (t: number) =>
      moving ? 0.8 * 0.25 ** Math.min(1, Math.max(0, 2 * (t - 0.1))) : 0.5;
    const waveform = recordOf((t) => level(t) * event(t), lengthOf(segments), {
      rate: 16_384,
      ...made,
    });
    return (metric: Metric) =>
      observe(metric, [{ channel: 'warm', segments, waveform }], 'warm', { parameters });
  };
  const twice = (factor: number) => (t: number) =>
    t > 0.2 && t < 0.205 ? factor : t > 0.3 && t < 0.303 ? 1 + 0.9 * (factor - 1) : 1;
  const all = [blackouts, flashes, longestBlackout, longestFlash, deepestDip, highestFlash];

  it.each([
    [blackouts, longestBlackout, deepestDip, 0.2, 0.8],
    [flashes, longestFlash, highestFlash, 1.8, 0.8],
  ])('have a number, a length and a size ', (count, length, size, factor, farthest) => {
    const light = within(twice(factor), { noise: 1e-4 });
    const counted = found(count, light(count));
    expect(counted).toMatchObject({ value: 2, floor: 2, contributions: [] });
    expect(counted.evidence.notes).toEqual({
      first: expect.closeTo(0.2, 2),
      farthest: expect.closeTo(farthest, 2),
    });
    expect(counted.evidence.charts.length).toBe(1);
    const longest = found(length, light(length));
    expect(longest.value).toBeCloseTo(0.005, 3);
    expect(longest.evidence.notes).toEqual({
      at: expect.closeTo(0.2, 2),
      farthest: expect.closeTo(farthest, 2),
      events: 2,
    });
    // Clear of the threshold by its factor of 1.6: the flanks are steep.
    const narrow = 1 / 1024 / 16;
    expect(longest.contributions).toEqual([
      { name: 'flanks of the average', standard: expect.closeTo(narrow, 7) },
      { name: 'ends of the record', standard: 0 },
    ]);
    expect(longest.floor).toBeCloseTo(1 / 1024, 6);
    const slow = within(twice(1 + (factor - 1) * 0.95), { noise: 1e-4 });
    expect(found(length, slow(length)).contributions[0]?.standard).toBeCloseTo(4 * narrow, 6);
    const deepest = found(size, light(size));
    expect(deepest.value).toBeCloseTo(farthest, 2);
    expect(deepest.evidence.notes).toEqual({ at: expect.closeTo(0.2025, 2) });
    expect(deepest.contributions.map(({ name, isNoise }) => [name, isNoise ?? false])).toEqual([
      ['noise of the averages', true],
      ['between two averages', false],
      ['course of the fade meanwhile', false],
    ]);
    expect(deepest.contributions[2]?.standard).toBeLessThan(1e-3);
  });

  it('are none in steady light: the floor is what noise may hide', () => {
    const light = within(() => 1, { noise: 0.01 });
    for (const metric of [deepestDip, highestFlash]) {
      const { value, floor = 0, evidence } = found(metric, light(metric));
      const noise = 0.01 / 0.5 / 4;
      expect(value).toBeLessThan(4 * noise);
      expect(floor / (2 * noise)).toBeGreaterThan(0.8);
      expect(evidence.charts.length).toBe(1);
    }
    for (const metric of [blackouts, flashes])
      expect(found(metric, light(metric))).toMatchObject({ value: 0, floor: 0 });
    for (const metric of [longestBlackout, longestFlash])
      expect(found(metric, light(metric))).toMatchObject({
        value: 0,
        floor: expect.closeTo(1 / 1024, 6),
        contributions: [],
      });
  });

  it('are known no better than the course of a fade meanwhile', () => {
    const light = within(twice(0.2), { noise: 1e-4 }, true);
    const { contributions } = found(deepestDip, light(deepestDip));
    // ln 4 in 0.5 s, over the longest event, halved.
    const change = Math.log(4) / 0.5 / 64;
    expect((contributions[2]?.standard ?? 0) / (change / 2)).toBeCloseTo(1, 0);
  });

  it.each(all)('have the same $id in every unit', (metric) => {
    expectLawsOfUnits(metric, within(twice(0.2), { noise: 1e-3 })(metric));
    expectLawsOfUnits(metric, within(twice(1.9), { noise: 1e-3 }, true)(metric));
    expectLawsOfUnits(metric, within(() => 1, { noise: 0.3 })(metric));
  });
});
