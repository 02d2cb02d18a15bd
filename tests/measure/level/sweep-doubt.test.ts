import { describe, expect, it } from 'vitest';
import type { Metric } from '../../../harness/measure/metric.ts';
import { deadZone } from '../../../harness/measure/metrics/level/dead-zone.ts';
import { dynamicRange } from '../../../harness/measure/metrics/level/dynamic-range.ts';
import { hysteresis } from '../../../harness/measure/metrics/level/hysteresis.ts';
import { lowestStableLevel } from '../../../harness/measure/metrics/level/lowest-stable-level.ts';
import { monotonicity } from '../../../harness/measure/metrics/level/monotonicity.ts';
import { stepSize } from '../../../harness/measure/metrics/level/step-size.ts';
import {
  sweepDeviationLightness,
  sweepDeviationLog,
} from '../../../harness/measure/metrics/level/sweep-deviation.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { observe, recordOf, steps } from '../lamp-of.ts';
import { expectLawsOfUnits } from '../laws-of-units.ts';
import { found, refused } from '../well-formed.ts';

/** A steady stretch, s. */
const stretch = 0.5;
/** Each level rises by this part of itself over its stretch. */
const rise = 0.01;

/**
 * A sweep in which each level rises along a straight line, so that all is known in closed form: the settled part, from 40 % on, has its
 * mean at 70 % of the stretch; its three halves lie a quarter of it apart.
 */
function sweepOf(
  metric: Metric,
  commanded: readonly number[],
  really: readonly number[] = commanded,
  change: Partial<Observation> = {},
): Observation {
  const segments = steps(commanded.map((level) => [level, stretch]));
  const level = (t: number) => {
    const place = Math.min(commanded.length - 1, Math.floor(t / stretch));
    return (really[place] ?? 0) * (1 + rise * (t / stretch - place - 0.7));
  };
  const waveform = recordOf(level, commanded.length * stretch, { rate: 2048 });
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm', change);
}

/** Relative standard uncertainty of each mean: half the spread of the halves, for a Hann mean (closed form). */
const relative = ((rise * 0.6) / 2 / 2) * Math.sqrt(1.5 / 2);

/** Value, contributions by name (`*` behind those that are noise) and notes of a sweep. */
function said(...asked: Parameters<typeof sweepOf>) {
  const { value, contributions, evidence, floor } = found(asked[0], sweepOf(...asked));
  const budget = contributions.map(({ name, standard, isNoise }) => [
    `${name}${isNoise ? '*' : ''}`,
    standard,
  ]);
  return {
    value,
    floor,
    budget: Object.fromEntries(budget),
    notes: evidence.notes,
    charts: evidence.charts.map(({ title }) => title),
  };
}

const near = (expected: number) => expect.closeTo(expected, 5);

describe('a sweep whose levels rise by 1 % each', () => {
  it('has a dynamic range with the scatter of both ends', () => {
    expect(said(dynamicRange, [0.5, 1, 0.1, 0.02, 0.3], [0.5, 0.9, 0.1, 0.03, 0.3])).toEqual({
      value: expect.closeTo(30, 4),
      budget: { 'scatter of the plateaus*': expect.closeTo(30 * Math.SQRT2 * relative, 3) },
      notes: { brightest: near(0.9), dimmest: near(0.03), at: 1.5 },
      charts: ['Sweep'],
    });
  });

  it('has a largest step with the scatter of both levels', () => {
    expect(said(stepSize, [0, 0.1, 0.12, 0.2, 0.19])).toEqual({
      value: near(0.2 / 0.12 - 1),
      budget: { 'scatter of the plateaus*': near((0.2 / 0.12) * Math.SQRT2 * relative) },
      notes: { plateaus: 4, at: 1.5 },
      charts: ['Sweep'],
    });
  });

  it('goes backwards by what it falls while it is told to rise, and the other way round', () => {
    const standard = Math.hypot(0.2, 0.15) / 0.2;
    const up = said(monotonicity, [0.1, 0.2, 0.3, 0.4], [0.1, 0.2, 0.15, 0.16]);
    const down = said(monotonicity, [0.4, 0.3, 0.2, 0.1], [0.16, 0.15, 0.2, 0.1]);
    for (const one of [up, down])
      expect(one).toEqual({
        value: near(0.25),
        budget: { 'scatter of the plateaus*': near(standard * relative) },
        notes: { plateaus: 4, at: 1 },
        charts: ['Sweep'],
      });
    expect(said(monotonicity, [0.1, 0.2, 0.3]).value).toBe(0);
    expect(said(monotonicity, [0, 0.2, 0, 0.3]).value).toBe(0);
  });

  it('has the hysteresis of the level that differs the most', () => {
    const commanded = [0.1, 0.2, 0.4, 0.2, 0.1];
    const really = [0.1, 0.21, 0.4, 0.2, 0.1];
    expect(said(hysteresis, [0, ...commanded], [0, ...really])).toEqual({
      value: near(0.01 / 0.205),
      budget: { 'scatter of the plateaus*': near((Math.hypot(0.21, 0.2) / 0.205) * relative) },
      notes: { pairs: 2, 'at-level': near(0.2) },
      charts: ['Sweep up and down'],
    });
    // From the first level nobody knows from where it was reached.
    expect(refused(hysteresis, sweepOf(hysteresis, [0.1, 0.2, 0.4, 0.3, 0.1]))).toMatchObject({
      reason: 'out-of-domain',
      note: 'no level is reached from below and from above',
    });
    expect(refused(hysteresis, sweepOf(hysteresis, commanded, [0, 0, 0, 0, 0]))).toMatchObject({
      reason: 'dark',
      note: 'a commanded level gives no light',
    });
  });

  it('has a dead zone as wide as the stretch over which the light does not follow', () => {
    const commanded = [0, 0.1, 0.12, 0.15, 0.2, 0.4];
    const really = [0, 0.1, 0.1, 0.1, 0.2, 0.4];
    for (const [told, does, at] of [
      [commanded, really, 1.5],
      [commanded.toReversed(), really.toReversed(), 2],
    ] as const)
      expect(said(deadZone, told, does)).toEqual({
        value: near(0.5),
        budget: {},
        notes: { plateaus: 5, at },
        charts: ['Sweep'],
      });
    // Up and down again over a dead step is no wider than the step.
    expect(said(deadZone, [0.1, 0.12, 0.1, 0.12], [0.1, 0.1, 0.1, 0.1]).value).toBeCloseTo(0.2, 5);
    // A repeated level asks for nothing, a lamp that jumps from the dark follows.
    expect(said(deadZone, [0.1, 0.2, 0, 0.2, 0.4]).value).toBe(0);
    expect(said(deadZone, [0.1, 0.2, 0.4], [0, 0.2, 0.4]).value).toBe(0);
    expect(said(deadZone, [0.1, 0.2, 0.4], [0, 0, 0.4]).value).toBeCloseTo(1, 9);
    // A quarter of the way is what counts as following: 0.1 to 0.2 by a factor of 2^0.25.
    const quarter = 0.1 * 2 ** 0.25;
    expect(said(deadZone, [0.1, 0.2, 0.4], [0.1, 1.002 * quarter, 0.4]).value).toBe(0);
    expect(said(deadZone, [0.1, 0.2, 0.4], [0.1, 0.998 * quarter, 0.4]).value).toBeCloseTo(1, 9);
  });

  it('deviates by the level that is farthest off, and by what another may be', () => {
    const commanded = [1, 0.5, 0.1, 0.01];
    const really = [1, 0.5, 0.11, 0.0095];
    // Relative to the brightest: the scatter of both.
    const standard = 1.1 * Math.SQRT2 * relative;
    expect(said(sweepDeviationLog, commanded, really)).toEqual({
      value: near(0.1),
      budget: { 'scatter of the plateaus': near(standard) },
      floor: near(2 * standard),
      notes: { levels: 4, at: 1, commanded: near(0.1), measured: near(0.11) },
      charts: ['Sweep'],
    });
    // CIE 15 8.2.1: L* = 116 (Y/Yn)^(1/3) - 16.
    const lightness = (level: number) => 116 * Math.cbrt(level) - 16;
    const slope = (116 / 3) * 0.11 ** (1 / 3);
    const inLightness = said(sweepDeviationLightness, commanded, really);
    expect(inLightness.value).toBeCloseTo(lightness(0.11) - lightness(0.1), 4);
    expect(inLightness.budget['scatter of the plateaus']).toBeCloseTo(
      slope * Math.SQRT2 * relative,
      3,
    );
  });

  it('is stable down to the level that is not, relative to the brightest or to a reference', () => {
    const commanded = [1, 0.5, 0.1, 0];
    const parameters = { smoothing: 0.02, noise: 0.02, drift: 0.05 };
    const whole = said(lowestStableLevel, commanded, commanded, { parameters });
    expect(whole).toEqual({
      value: near(0.1),
      budget: { 'scatter of the plateau*': near(0.1 * relative) },
      notes: { 'first-instability': 'none', 'commanded-level': near(0.1) },
      charts: ['Levels'],
    });
    const reference = { from: 0.5, to: 1 };
    const half = said(lowestStableLevel, commanded, commanded, { parameters, reference });
    expect(half.value).toBeCloseTo(0.2, 3);
    const strict = { smoothing: 0.02, noise: 0.02, drift: 0.005 };
    expect(
      refused(
        lowestStableLevel,
        sweepOf(lowestStableLevel, commanded, commanded, { parameters: strict }),
      ),
    ).toMatchObject({ reason: 'no-plateau', note: 'the brightest level is not stable: drift' });
    const noisy = { smoothing: 0.02, noise: 1e-4, drift: 0.05 };
    expect(
      refused(
        lowestStableLevel,
        sweepOf(lowestStableLevel, commanded, commanded, { parameters: noisy }),
      ),
    ).toMatchObject({ note: 'the brightest level is not stable: noise' });
  });

  it.each([
    [deadZone, 3],
    [monotonicity, 3],
    [stepSize, 2],
    [dynamicRange, 2],
    [sweepDeviationLog, 3],
  ])('needs so many levels for $0.id: $1', (metric, needed) => {
    const levels = [0.4, 0.2, 0.1].slice(0, needed);
    found(metric, sweepOf(metric, levels));
    expect(refused(metric, sweepOf(metric, levels.slice(1)))).toEqual({
      measured: false,
      reason: 'out-of-domain',
      found: needed - 1,
      needed,
      unit: '1',
      note: 'steady levels',
    });
  });

  it.each([
    deadZone,
    monotonicity,
    stepSize,
    dynamicRange,
    hysteresis,
    sweepDeviationLog,
    sweepDeviationLightness,
    lowestStableLevel,
  ])('has the same $id in every unit', (metric) => {
    const commanded = [0.25, 0.5, 1, 0.5, 0.25];
    const really = [0.25, 0.5, 0.49, 0.25, 0.2];
    const parameters = { smoothing: 0.03125, noise: 0.02, drift: 0.05 };
    expectLawsOfUnits(metric, sweepOf(metric, commanded, really, { parameters }));
    expectLawsOfUnits(metric, sweepOf(metric, commanded, [0, 0, 0, 0, 0], { parameters }));
  });

  it('cannot be called dead where the steps drown in the scatter', () => {
    const levels = [0.1, 0.1002, 0.1004];
    const asked = Math.log(1.002);
    expect(refused(deadZone, sweepOf(deadZone, levels))).toEqual({
      measured: false,
      reason: 'below-noise',
      found: near(asked),
      needed: expect.closeTo(2 * Math.hypot(1, 0.1 / 0.1002) * relative, 4),
      unit: '1',
      note: 'step between two levels',
    });
  });

  it('says at which second a level is missing, and whether it would have been seen', () => {
    const levels = [1, 0.5, 0.1];
    for (const metric of [dynamicRange, sweepDeviationLog])
      expect(refused(metric, sweepOf(metric, levels, [1, 0.5, 0]))).toEqual({
        measured: false,
        reason: 'dark',
        note: 'light of the level at 1 s',
      });
    expect(refused(stepSize, sweepOf(stepSize, levels, [1, 0.5, 0]))).toEqual({
      measured: false,
      reason: 'dark',
      note: 'one of the levels gives no light',
    });
    expect(refused(monotonicity, sweepOf(monotonicity, levels, [0, 0, 0]))).toMatchObject({
      reason: 'dark',
    });
    found(monotonicity, sweepOf(monotonicity, levels, [0, 0, 0.1]));
  });
});
