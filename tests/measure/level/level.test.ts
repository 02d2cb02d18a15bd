import { describe, expect, it } from 'vitest';
import { lightOfLevel } from '../../../drivers/dali/levels.ts';
import { hannTrack } from '../../../harness/measure/analysis/hann-track.ts';
import { hannMean, plainMean } from '../../../harness/measure/analysis/means.ts';
import { windowed } from '../../../harness/measure/analysis/waveform-part.ts';
import type { Metric } from '../../../harness/measure/metric.ts';
import { deadZone } from '../../../harness/measure/metrics/level/dead-zone.ts';
import { dropouts } from '../../../harness/measure/metrics/level/dropouts.ts';
import { hysteresis } from '../../../harness/measure/metrics/level/hysteresis.ts';
import { levelDrift } from '../../../harness/measure/metrics/level/level-drift.ts';
import {
  levelError,
  levelErrorLightness,
} from '../../../harness/measure/metrics/level/level-error.ts';
import { levelNoise } from '../../../harness/measure/metrics/level/level-noise.ts';
import { levelRatio } from '../../../harness/measure/metrics/level/level-ratio.ts';
import { lowestStableLevel } from '../../../harness/measure/metrics/level/lowest-stable-level.ts';
import { monotonicity } from '../../../harness/measure/metrics/level/monotonicity.ts';
import { stepSize } from '../../../harness/measure/metrics/level/step-size.ts';
import type { Observation } from '../../../harness/measure/observation.ts';
import { hannMeanOfFunction, hannWeights } from '../../../harness/measure/signal/hann.ts';
import { figure, reason } from '../current/current-of.ts';
import { levelAt, type Made, observe, recordOf, steps } from '../lamp-of.ts';
import { integrated, pulses } from '../light-of.ts';
import { changedRecord } from '../recorded.ts';

type Levels = readonly (readonly [number, number])[];

/** Steady levels one after another; `really` is what the lamp does instead. */
function sweep(
  metric: Metric,
  levels: Levels,
  made: Made = {},
  really?: (level: number, t: number) => number,
  change: Partial<Observation> = {},
): Observation {
  const segments = steps(levels);
  const seconds = segments.at(-1)!.to;
  const does = really ?? ((level: number) => level);
  const waveform = recordOf((t) => does(levelAt(segments, t), t), seconds, made);
  return observe(metric, [{ channel: 'warm', segments, waveform }], 'warm', change);
}

describe('the tapered mean', () => {
  it('has weights of sum 1, symmetric', () => {
    for (const count of [1, 2, 3, 10, 1001]) {
      const weights = hannWeights(count);
      expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 12);
      expect(weights[0]).toBeCloseTo(weights.at(-1)!, 12);
    }
  });

  it('is right to 3e-3 for eleven pulses cut anywhere, where a plain mean errs by several per cent', () => {
    // Analytic: the duty is the mean.
    const record = integrated(pulses(11.3, 0.01), 2500, 2);
    let plainWorst = 0;
    for (let from = 0; from < 0.1; from += 0.004) {
      const part = windowed(record, from, from + 1);
      expect(Math.abs(hannMean(part) / 0.01 - 1)).toBeLessThan(3e-3);
      plainWorst = Math.max(plainWorst, Math.abs(plainMean(part) / 0.01 - 1));
    }
    expect(plainWorst).toBeGreaterThan(0.02);
  });

  it('of an exponential is what the model under the same window says (closed form)', () => {
    // Mean of exp(kt) under a raised cosine of width w: sinh(a)/a / (1 + (a/pi)^2), a = k w / 2 (computed).
    for (const k of [0.1, 3, -9.87, 30]) {
      const a = (k * 0.1) / 2;
      const expected = (Math.sinh(a) / a / (1 + (a / Math.PI) ** 2)) * Math.exp(k * 0.5);
      expect(hannMeanOfFunction((t) => Math.exp(k * t), 0.5, 0.1) / expected).toBeCloseTo(1, 5);
      const samples = Float64Array.from({ length: 10_000 }, (_, n) =>
        Math.exp(k * ((n + 0.5) / 10_000)),
      );
      const waveform = { samples, rate: 10_000, start: 0, unit: 'A', clipped: 0 };
      const track = hannTrack(waveform, { from: 0.45, to: 0.55 }, 0.1, 0.1);
      expect(track.values[0]! / expected).toBeCloseTo(1, 5);
    }
  });
});

describe('level against a reference', () => {
  const windows = { reference: { from: 0, to: 0.5 }, window: { from: 0.5, to: 1 } };
  const at = (metric: Metric, level: number, really = level, made: Made = {}) =>
    sweep(
      metric,
      [
        [1, 0.5],
        [level, 0.5],
      ],
      made,
      (asked) => (asked === level ? really : asked),
      windows,
    );

  it.each([
    ['none', 0.5],
    ['none', 0.001],
    ['pulse-density', 0.1],
    ['pulse-density', 0.001],
    ['pulse-width', 0.01],
  ] as const)('is its ratio through modulator %s at %f', (modulator, level) => {
    // At 0.001 of 16 bits a dithered density is the exact level only on the average over many ticks.
    const value = figure(levelRatio, at(levelRatio, level, level, { modulator }));
    expect(Math.abs(value / level - 1)).toBeLessThan(level < 0.01 ? 5e-3 : 1e-3);
  });

  it('errs by what the lamp gives too much', () => {
    expect(figure(levelError, at(levelError, 0.1, 0.11))).toBeCloseTo(0.1, 6);
    expect(figure(levelError, at(levelError, 0.1, 0.09))).toBeCloseTo(-0.1, 6);
    expect(figure(levelError, at(levelError, 0.1))).toBeCloseTo(0, 9);
  });

  it('errs in lightness by the difference of L* (computed: L*(0.2) - L*(0.18) = 51.837 - 49.496)', () => {
    expect(figure(levelErrorLightness, at(levelErrorLightness, 0.18, 0.2))).toBeCloseTo(2.341, 3);
    expect(figure(levelErrorLightness, at(levelErrorLightness, 0.18))).toBeCloseTo(0, 6);
  });

  it('does not depend on the scale', () => {
    const one = at(levelRatio, 0.3);
    const record = one.records[0]!;
    const samples = record.waveform.samples.map((value) => 1e4 * value);
    const two = { ...one, records: [changedRecord(record, { samples })] };
    expect(figure(levelRatio, two)).toBeCloseTo(figure(levelRatio, one), 12);
  });

  it('is not told without light in the reference', () => {
    const { reference: _, ...without } = at(levelRatio, 0.3);
    expect(reason(levelRatio, without)).toBe('no-reference');
    expect(
      reason(
        levelRatio,
        sweep(
          levelRatio,
          [
            [0, 0.5],
            [1, 0.5],
          ],
          {},
          undefined,
          windows,
        ),
      ),
    ).toBe('no-reference');
    expect(
      reason(
        levelError,
        sweep(
          levelError,
          [
            [1, 0.5],
            [0, 0.5],
          ],
          {},
          undefined,
          windows,
        ),
      ),
    ).toBe('dark');
    // A lamp that is dark has a level: none.
    expect(
      figure(
        levelRatio,
        sweep(
          levelRatio,
          [
            [1, 0.5],
            [0, 0.5],
          ],
          {},
          undefined,
          windows,
        ),
      ),
    ).toBe(0);
  });
});

describe('a sweep', () => {
  const codes = [1, 2, 3, 4, 5, 6, 7, 8];
  const up: Levels = codes.map((code) => [lightOfLevel(code), 0.5]);
  const upAndDown: Levels = [...up, ...up.slice(0, -1).reverse()];

  it('never goes backwards, has no dead zone, no hysteresis and steps of 2.768 % on the curve', () => {
    expect(figure(monotonicity, sweep(monotonicity, up))).toBe(0);
    expect(figure(deadZone, sweep(deadZone, up))).toBe(0);
    expect(figure(hysteresis, sweep(hysteresis, upAndDown))).toBeCloseTo(0, 9);
    // Computed: 10^(3/253) - 1.
    expect(figure(stepSize, sweep(stepSize, up))).toBeCloseTo(0.0276795, 6);
  });

  it('shows a step backwards by its size', () => {
    const broken = (level: number) => (level === lightOfLevel(5) ? 0.97 * lightOfLevel(4) : level);
    expect(figure(monotonicity, sweep(monotonicity, up, {}, broken))).toBeCloseTo(0.03, 6);
    expect(
      figure(monotonicity, sweep(monotonicity, [...up].reverse(), {}, broken)),
    ).toBeGreaterThan(0.02);
  });

  it('shows a stretch without response by its width', () => {
    // Computed: two steps of 2.768 % do nothing.
    const stuck = (level: number) => Math.min(level, lightOfLevel(6));
    expect(figure(deadZone, sweep(deadZone, up, {}, stuck))).toBeCloseTo(1.0276795 ** 2 - 1, 6);
    const dark = (level: number) => (level < lightOfLevel(4) ? 0 : level);
    expect(figure(deadZone, sweep(deadZone, up, {}, dark))).toBeCloseTo(1.0276795 ** 2 - 1, 6);
  });

  it('shows hysteresis by its size', () => {
    const middle = up.length * 0.5;
    const lazy = (level: number, t: number) => (t > middle ? 1.02 * level : level);
    expect(figure(hysteresis, sweep(hysteresis, upAndDown, {}, lazy))).toBeCloseTo(0.02 / 1.01, 6);
  });

  it('needs enough levels, and light', () => {
    expect(reason(monotonicity, sweep(monotonicity, up.slice(0, 2)))).toBe('out-of-domain');
    expect(reason(stepSize, sweep(stepSize, up.slice(0, 1)))).toBe('out-of-domain');
    expect(reason(deadZone, sweep(deadZone, up.slice(0, 2)))).toBe('out-of-domain');
    expect(reason(hysteresis, sweep(hysteresis, up))).toBe('out-of-domain');
    expect(
      reason(
        monotonicity,
        sweep(monotonicity, up, {}, () => 0),
      ),
    ).toBe('dark');
    expect(
      reason(
        stepSize,
        sweep(stepSize, up, {}, () => 0),
      ),
    ).toBe('dark');
    expect(
      reason(
        deadZone,
        sweep(deadZone, up, { noise: 0.1, seed: 2 }, (level) => level + 0.1),
      ),
    ).toBe('below-noise');
  });
});

describe('a steady level', () => {
  const hold: Levels = [[0.1, 4]];

  it('has the noise that it is given, without that of the sensor', () => {
    // Computed: a slow sine of 3 % has an rms of 3 %/sqrt(2).
    const wobble = (level: number, t: number) =>
      level * (1 + 0.03 * Math.sin(2 * Math.PI * 1.5 * t));
    expect(figure(levelNoise, sweep(levelNoise, hold, {}, wobble))).toBeCloseTo(
      0.03 / Math.SQRT2,
      3,
    );
    expect(figure(levelNoise, sweep(levelNoise, hold, { noise: 0.01 }, wobble))).toBeCloseTo(
      0.03 / Math.SQRT2,
      2,
    );
    expect(figure(levelNoise, sweep(levelNoise, hold, { noise: 0.01 }))).toBeLessThan(5.5e-3);
    expect(
      figure(levelNoise, sweep(levelNoise, hold, { modulator: 'pulse-density' })),
    ).toBeLessThan(1e-3);
  });

  it('drifts by what it changes from end to end', () => {
    const falling = (level: number, t: number) => level * (1 - 0.05 * (t / 4));
    const outcome = levelDrift.compute(sweep(levelDrift, hold, {}, falling));
    // The first and last averages lie half a smoothing inside.
    expect(outcome.measured && outcome.value).toBeCloseTo(0.05 / 0.975, 2);
    expect(outcome.measured && Number(outcome.evidence.notes['change'])).toBeLessThan(0);
    expect(figure(levelDrift, sweep(levelDrift, hold))).toBeCloseTo(0, 9);
  });

  it('drifts by all of a step and of a warm-up, which no line shows (closed forms)', () => {
    const step = (level: number, t: number) => level * (t < 2 ? 1 : 1.02);
    expect(figure(levelDrift, sweep(levelDrift, hold, {}, step))).toBeCloseTo(0.02 / 1.01, 4);
    const warm = (level: number, t: number) => level * (1 + 0.02 * Math.exp(-t / 0.4));
    // Between the middles of the first and the last average, 50 ms wide.
    const seen = 0.02 * Math.exp(-0.025 / 0.4);
    expect(figure(levelDrift, sweep(levelDrift, hold, {}, warm))).toBeGreaterThan(0.99 * seen);
  });

  it('drops out as often as it does', () => {
    const broken = (level: number, t: number) => (t % 1 > 0.5 && t % 1 < 0.55 ? 0 : level);
    expect(figure(dropouts, sweep(dropouts, hold, { noise: 1e-3 }, broken))).toBe(4);
    expect(figure(dropouts, sweep(dropouts, hold, { noise: 1e-3 }))).toBe(0);
  });

  it('is not judged in the dark, in noise, or when it is short', () => {
    for (const metric of [levelNoise, levelDrift, dropouts]) {
      expect(
        reason(
          metric,
          sweep(metric, hold, { noise: 1e-3 }, () => 0),
        ),
      ).toBe('dark');
      expect(metric.compute(sweep(metric, [[0.1, 0.1]]))).toMatchObject({
        reason: 'too-short',
        unit: 's',
      });
    }
    expect(reason(dropouts, sweep(dropouts, [[0.01, 4]], { noise: 0.05 }))).toBe('below-noise');
  });
});

describe('the lowest stable level', () => {
  const levels: Levels = [
    [1, 1],
    [0.1, 1],
    [0.01, 1],
    [0.001, 1],
  ];

  it('is the lowest of all where all are stable', () => {
    expect(figure(lowestStableLevel, sweep(lowestStableLevel, levels))).toBeCloseTo(0.001, 9);
  });

  it('is the last one above a level that drops out, wobbles, or drifts', () => {
    const drop = (level: number, t: number) => (level === 0.001 && t % 0.2 < 0.08 ? 0 : level);
    const wobble = (level: number, t: number) =>
      level < 0.1 ? level * (1 + 0.1 * Math.sin(9 * t)) : level;
    const drift = (level: number, t: number) =>
      level === 0.001 ? level * (1 + 0.3 * (t - 3)) : level;
    const at = (really: (level: number, t: number) => number) =>
      figure(lowestStableLevel, sweep(lowestStableLevel, levels, {}, really));
    expect(at(drop)).toBeCloseTo(0.01, 6);
    expect(at(wobble)).toBeCloseTo(0.1, 6);
    expect(at(drift)).toBeCloseTo(0.01, 6);
  });

  it('is not told where the sensor is noisier than the level may be', () => {
    expect(reason(lowestStableLevel, sweep(lowestStableLevel, levels, { noise: 0.005 }))).toBe(
      'below-noise',
    );
  });
});

describe('records that say too little', () => {
  const all = [
    levelRatio,
    levelError,
    levelErrorLightness,
    levelNoise,
    levelDrift,
    dropouts,
    monotonicity,
    deadZone,
    hysteresis,
    stepSize,
    lowestStableLevel,
  ];

  it.each(all)('give no number of $id', (metric) => {
    const reference = { from: 0, to: 0.5 };
    const observation = sweep(
      metric,
      [
        [1, 0.5],
        [0.5, 0.5],
        [0.2, 0.5],
      ],
      {},
      undefined,
      { reference },
    );
    const record = observation.records[0]!;
    const having = (samples: Float64Array, clipped = 0): Observation => ({
      ...observation,
      records: [changedRecord(record, { samples, clipped })],
    });
    const like = (value: number) => new Float64Array(record.waveform.samples.length).fill(value);
    expect(reason(metric, { ...observation, records: [] })).toBe('no-record');
    expect(reason(metric, having(new Float64Array(0)))).toBe('empty');
    expect(reason(metric, having(like(Number.NaN)))).toBe('not-finite');
    expect(reason(metric, having(like(Number.NEGATIVE_INFINITY)))).toBe('not-finite');
    expect(reason(metric, having(like(-1)))).toBe('negative-light');
    expect(reason(metric, having(like(1), 5))).toBe('saturated');
    expect(() => metric.compute(having(new Float64Array(1)))).not.toThrow();
  });
});
