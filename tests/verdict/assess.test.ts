import jstat from 'jstat';
import { describe, expect, it } from 'vitest';
import type { CalibrationInput, Metric } from '../../harness/measure/metric.ts';
import type { ColourReading } from '../../harness/measure/observation.ts';
import { measured, notMeasurable } from '../../harness/measure/outcome.ts';
import { deviates } from '../../harness/measure/signal/deviates.ts';
import { assess, combined } from '../../harness/verdict/assess.ts';
import { settledBy } from '../../harness/verdict/settled.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { verdictOfUnmeasurable } from '../../harness/verdict/unmeasurable.ts';
import {
  calibration,
  expandedOf,
  level,
  mean,
  metricOf,
  observe,
  steady,
  waveform,
} from './assessed.ts';

describe('combined', () => {
  it('adds .004, .003 and a rectangular half-width of .006 to .00608276 (JCGM 100 5.1.2, computed)', () => {
    const standard = combined([
      { name: 'a', standard: 0.004 },
      { name: 'b', standard: 0.003 },
      { name: 'c', standard: 0.006 / Math.sqrt(3) },
    ]);
    expect(standard).toBeCloseTo(0.00608276, 8);
    expect(2 * standard).toBeCloseTo(0.0121655, 7);
  });
});

describe('assess', () => {
  it('turns a scale error into its share of a mean', () => {
    expect(expandedOf(level, steady, [calibration({ standardScale: 0.01 })])).toBeCloseTo(0.08, 9);
  });

  it('turns an offset error into itself', () => {
    expect(expandedOf(level, steady, [calibration({ standardOffset: 0.02 })])).toBeCloseTo(0.04, 9);
  });

  it('adds independent errors as the root of the sum of squares, times k', () => {
    const input = calibration({ standardScale: 0.01, standardOffset: 0.03 });
    expect(expandedOf(level, steady, [input], 3)).toBeCloseTo(3 * 0.05, 9);
  });

  it('reaches up to the floor, the least that the record would have shown, whatever k is', () => {
    const blind = metricOf(() => measured(0.1, undefined, [], 0.5));
    expect(expandedOf(blind, steady, [], 1)).toBeCloseTo(0.4, 9);
    expect(expandedOf(blind, steady, [], 3)).toBeCloseTo(0.4, 9);
    const clear = metricOf(() => measured(0.6, undefined, [], 0.5));
    expect(expandedOf(clear, steady, [], 2)).toBe(0);
    // A signed quantity without a floor is not held to 0.
    const negative = metricOf(() => measured(-0.3));
    expect(expandedOf(negative, steady, [], 2)).toBe(0);
  });

  it('names each part of the budget', () => {
    const names = (metric: Metric, input: InputCalibration, observation = steady) => {
      const assessed = assess(metric, observation, [input], 2);
      return 'expanded' in assessed ? assessed.contributions.map(({ name }) => name) : [];
    };
    const all = { standardScale: 0.01, standardOffset: 0.01, timeBase: 1e-4, step: 0.1 };
    const period = metricOf((observation) => {
      const { samples, rate } = waveform(observation);
      return measured(mean(samples) / rate);
    });
    expect(names(period, calibration(all))).toEqual([
      'scale of light',
      'offset of light',
      'quantisation of light',
      'time base of light',
    ]);
    expect(names(level, calibration({ noise: 0.1 }))).toEqual(['noise']);
    const shared = { standardOffset: 0.01, sharedScale: 'diode', noise: 1 };
    expect(names(level, calibration(shared))).toEqual(['offset of diode', 'noise']);
    const warm = calibration({ of: 'warm', standardOffset: 0.01 });
    const current = observe([{ of: 'warm', samples: [4, 4] }]);
    expect(names(level, warm, current)).toEqual(['offset of light warm']);
    const blind = metricOf(() => measured(0.1, undefined, [], 0.5));
    expect(names(blind, calibration({}))).toEqual(['what the record cannot show']);
  });

  it('says nothing of what cannot matter', () => {
    const assessed = assess(level, steady, [calibration({})], 2);
    expect('expanded' in assessed && assessed.contributions).toEqual([]);
    const exact = metricOf(() => measured(0.5, undefined, [], 0.5));
    const same = assess(exact, steady, [calibration({})], 2);
    expect('expanded' in same && same.contributions).toEqual([]);
  });

  it('takes only scatter off the noise, not what is systematic', () => {
    const input = calibration({ noise: 0.5 });
    const stating = (isNoise: boolean) =>
      metricOf((observation) =>
        measured(mean(waveform(observation).samples), undefined, [
          { name: 'own', standard: 0.05, isNoise },
        ]),
      );
    expect(expandedOf(stating(false), steady, [input])).toBeGreaterThan(
      expandedOf(stating(true), steady, [input]) + 0.001,
    );
  });

  it('stretches time by the error of the time base', () => {
    const period = metricOf((observation) => measured(1 / waveform(observation).rate));
    expect(expandedOf(period, steady, [calibration({ timeBase: 1e-4 })], 1)).toBeCloseTo(1e-7, 12);
  });

  it('finds the noise of a mean: sigma / √n', () => {
    const standards = Array.from({ length: 60 }, (_, k) =>
      expandedOf(
        level,
        observe([{ samples: new Array(100).fill(4 + k / 1000) }]),
        [calibration({ noise: 0.5 })],
        1,
      ),
    );
    // Student's factor for 8 realisations is on top.
    expect(mean(standards) / (0.05 * 1.1832)).toBeGreaterThan(0.93);
    expect(mean(standards) / (0.05 * 1.1832)).toBeLessThan(1.07);
  });

  it("uses Student's factors that a statistics library confirms", () => {
    for (const [runs, factor] of [
      [2, 2.2633],
      [4, 1.4347],
      [1, 6.9839],
      [8, 1.1832],
    ] as const)
      expect(jstat.jStat.studentt.inv(0.9772499, runs) / 2).toBeCloseTo(factor, 4);
  });

  it('moves inputs together that share an error, and apart where they do not', () => {
    const ratio = metricOf((observation) =>
      measured(mean(waveform(observation, 0).samples) / mean(waveform(observation, 1).samples)),
    );
    const two = observe([
      { of: 'warm', samples: [3, 3] },
      { of: 'cool', samples: [6, 6] },
    ]);
    const inputs = (sharedScale?: string) =>
      ['warm', 'cool'].map((of) =>
        calibration({ of, standardScale: 0.01, ...(sharedScale && { sharedScale }) }),
      );
    expect(expandedOf(ratio, two, inputs('photodiode'), 1)).toBeCloseTo(0, 12);
    expect(expandedOf(ratio, two, inputs(), 1)).toBeCloseTo(0.5 * 0.01 * Math.SQRT2, 5);
  });

  it('does not lose the contribution at a kink', () => {
    const distance = metricOf((observation) =>
      measured(Math.abs(mean(waveform(observation).samples) - 4)),
    );
    expect(expandedOf(distance, steady, [calibration({ standardOffset: 0.1 })], 1)).toBeCloseTo(
      0.1,
      6,
    );
  });

  it('adds what the metric itself knows of', () => {
    const fitted = metricOf((observation) =>
      measured(mean(waveform(observation).samples), undefined, [
        { name: 'fit residual', standard: 0.03 },
      ]),
    );
    expect(expandedOf(fitted, steady, [calibration({ standardOffset: 0.04 })], 1)).toBeCloseTo(
      0.05,
      9,
    );
  });

  it('does not count the noise twice that the metric has seen as scatter', () => {
    const scattered = (standard: number) =>
      metricOf((observation) =>
        measured(mean(waveform(observation).samples), undefined, [
          { name: 'scatter', standard, isNoise: true },
        ]),
      );
    const noisy = [calibration({ noise: 0.5 })];
    const alone = expandedOf(level, steady, noisy, 1);
    expect(expandedOf(scattered(alone / 2), steady, noisy, 1)).toBeCloseTo(alone, 9);
    expect(expandedOf(scattered(2 * alone), steady, noisy, 1)).toBeCloseTo(2 * alone, 9);
  });

  it('keeps the same samples clipped: range and step move with the scale', () => {
    const seen: boolean[] = [];
    const spy = metricOf((observation) => {
      const { samples, range, step } = waveform(observation);
      seen.push(samples[0] === range!.high && Math.abs(step! / range!.high - 0.001) < 1e-12);
      return measured(samples[0]!);
    });
    assess(spy, observe([{ samples: [10, 5] }]), [calibration({ standardScale: 0.017 })], 2);
    expect(seen).toEqual([true, true, true]);
  });

  it('saves the runs that cannot matter', () => {
    let runs = 0;
    const count = (blindTo: readonly CalibrationInput[]) =>
      metricOf((observation) => {
        runs++;
        return measured(waveform(observation).samples[0]!);
      }, blindTo);
    const full = calibration({
      standardScale: 0.01,
      standardOffset: 0.01,
      timeBase: 1e-6,
      noise: 1e-9,
    });
    const other = { ...full, capture: 'one that the metric never reads' };
    assess(count(['scale', 'offset', 'time-base', 'noise', 'quantisation']), steady, [full], 2);
    expect(runs).toBe(1);
    runs = 0;
    assess(count(['scale', 'time-base']), steady, [full, other], 2);
    // Nominal, offset up and down, and one look at a noise that turns out not to matter.
    expect(runs).toBe(1 + 2 + 1);
  });

  it('looks no closer at a noise that cannot turn the verdict over, but twice', () => {
    let runs = 0;
    const noisy = metricOf((observation) => {
      runs++;
      return measured(waveform(observation).samples[0]!);
    });
    const input = [calibration({ noise: 0.1 })];
    const expanded = (limit: number): number => {
      runs = 0;
      const limits = { lower: null, upper: limit, target: null, text: '' };
      const assessed = assess(noisy, steady, input, 2, settledBy(limits));
      return 'expanded' in assessed ? assessed.expanded : Number.NaN;
    };
    // Far away two realisations are enough; beside the limit all eight are looked at, and U is the same as without it.
    const wide = expanded(1000);
    expect(runs).toBe(1 + 2);
    const near = expanded(4.2);
    expect(runs).toBe(1 + 8);
    expect(wide).not.toBe(near);
    expect(near).toBe(expandedOf(noisy, steady, input));
  });

  it('covers the true value as often with two realisations as with eight', () => {
    const noise = 0.1;
    const level = metricOf((observation) => measured(waveform(observation).samples[0]!));
    const share = (limit: number): number => {
      let held = 0;
      for (let k = 0; k < 2000; k++) {
        const seen = 4 + noise * deviates(1, 99, k)[0]!;
        const limits = { lower: null, upper: limit, target: null, text: '' };
        const record = observe([{ samples: [seen, k] }]);
        const assessed = assess(level, record, [calibration({ noise })], 2, settledBy(limits));
        if ('expanded' in assessed && Math.abs(seen - 4) <= assessed.expanded) held++;
      }
      return held / 2000;
    };
    // 95.45 % within three standard deviations of a count of 2,000 (computed).
    for (const limit of [1000, 4]) expect(Math.abs(share(limit) - 0.9545)).toBeLessThan(0.014);
  });

  it('covers as often where the metric has seen a part of the noise', () => {
    const noise = 0.1;
    const seen = [{ name: 'scatter', standard: 0.6 * noise, isNoise: true }];
    const level = metricOf((observation) =>
      measured(waveform(observation).samples[0]!, undefined, seen),
    );
    let held = 0;
    for (let k = 0; k < 2000; k++) {
      const value = 4 + noise * deviates(1, 99, k)[0]!;
      const record = observe([{ samples: [value, k] }]);
      const assessed = assess(level, record, [calibration({ noise })], 2);
      if ('expanded' in assessed && Math.abs(value - 4) <= assessed.expanded) held++;
    }
    // As above: to end at realisations that happen to be small would leave 93.6 % here.
    expect(Math.abs(held / 2000 - 0.9545)).toBeLessThan(0.014);
  });

  it('asks for no evidence but the first time', () => {
    const wanted: (boolean | undefined)[] = [];
    const spy = metricOf((observation, options) => {
      wanted.push(options?.evidence);
      return measured(waveform(observation).samples[0]!);
    });
    assess(spy, steady, [calibration({ standardScale: 0.01 })], 2);
    expect(wanted).toEqual([undefined, false, false]);
  });

  it('gives the same bytes for the same input', () => {
    const input = [calibration({ noise: 0.3, standardScale: 0.01 })];
    expect(JSON.stringify(assess(level, steady, input, 2))).toBe(
      JSON.stringify(assess(level, steady, input, 2)),
    );
  });

  it('hands on that something cannot be measured', () => {
    const refuses = metricOf(() => notMeasurable('too-short', { found: 1, needed: 2, unit: 's' }));
    expect(assess(refuses, steady, [calibration({ noise: 1 })], 2)).toEqual({
      captures: [],
      outcome: { measured: false, reason: 'too-short', found: 1, needed: 2, unit: 's' },
    });
  });

  it('never hands on a value that is not finite', () => {
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY])
      expect(
        assess(
          metricOf(() => measured(bad)),
          steady,
          [],
          2,
        ).outcome,
      ).toEqual({ measured: false, reason: 'not-finite' });
  });

  it('takes the other direction where one is refused, and refuses where both are', () => {
    const fragile = (low: number, high: number) =>
      metricOf((observation) => {
        const value = waveform(observation).samples[0]!;
        return value > low && value < high ? measured(value) : notMeasurable('saturated');
      });
    const input = [calibration({ standardScale: 0.01 })];
    expect(expandedOf(fragile(3.99, 9), steady, input, 1)).toBeCloseTo(0.04, 9);
    const { outcome } = assess(fragile(3.99, 4.01), steady, input, 1);
    expect(outcome).toMatchObject({
      measured: false,
      reason: 'saturated',
      note: 'within the standard uncertainty of the scale of light',
    });
  });

  it('does not blame the lamp for what an error of the bench takes away', () => {
    const fragile = metricOf((observation) => {
      const value = waveform(observation).samples[0]!;
      return value > 3.99 && value < 4.01 ? measured(value) : notMeasurable('dark');
    });
    const { outcome } = assess(fragile, steady, [calibration({ standardScale: 0.01 })], 1);
    expect(outcome).toMatchObject({ measured: false, reason: 'below-noise' });
    expect(verdictOfUnmeasurable('dark')).toBe('fail');
    expect(verdictOfUnmeasurable('below-noise')).toBe('inconclusive');
  });
});

describe('assess on colour readings', () => {
  const reading: ColourReading = {
    capture: 'colour',
    at: 0,
    integration: 0.1,
    X: 30,
    Y: 40,
    Z: 30,
    state: 'good',
    of: 'lamp',
  };
  const x = metricOf(({ colour }) => {
    const { X, Y, Z } = colour[0]!;
    return measured(X / (X + Y + Z));
  });
  const sensor = calibration({ signal: 'colour', of: 'lamp', standardScale: 0.01 });

  it('lets the three scales err on their own', () => {
    // dx/dX X = x(1 - x), dx/dY Y = -x y, dx/dZ Z = -x z: by hand from x = X/(X + Y + Z).
    const expected = 0.01 * Math.hypot(0.3 * 0.7, 0.3 * 0.4, 0.3 * 0.3);
    expect(expandedOf(x, observe([], [reading]), [sensor], 1)).toBeCloseTo(expected, 6);
  });

  it('moves every reading of one sensor together', () => {
    const ratio = metricOf(({ colour }) => measured(colour[0]!.X / colour[1]!.X));
    const readings = [reading, { ...reading, of: 'warm', X: 15 }];
    expect(expandedOf(ratio, observe([], readings), [sensor], 1)).toBeCloseTo(0, 9);
  });

  it('moves the three scales even where the metric is blind to a common one', () => {
    const blind = metricOf(x.compute, ['scale']);
    expect(expandedOf(blind, observe([], [reading]), [sensor], 1)).toBeGreaterThan(0.001);
  });
});
