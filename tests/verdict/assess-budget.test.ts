import { describe, expect, it } from 'vitest';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import type { Observation } from '../../harness/measure/observation.ts';
import { measured, notMeasurable } from '../../harness/measure/outcome.ts';
import { assess } from '../../harness/verdict/assess.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
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

const two = observe([
  { of: 'warm', samples: new Array(100).fill(4) },
  { of: 'cool', samples: new Array(100).fill(4) },
]);
const slow = { ...noDarkNoise, slow: 0.01 };

function namesOf(
  metric: Metric,
  inputs: readonly InputCalibration[],
  observation = steady,
): readonly string[] {
  const assessed = assess(metric, observation, inputs, 2);
  if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
  return assessed.contributions.map(({ name }) => name);
}

/** How often a metric of this kind is computed. */
function runsOf(metric: Metric, inputs: readonly InputCalibration[], observation = steady): number {
  let runs = 0;
  const counted: Metric = {
    ...metric,
    compute: (...args) => {
      runs++;
      return metric.compute(...args);
    },
  };
  assess(counted, observation, inputs, 2);
  return runs;
}

/** An input of which nobody has stated what is named. */
function without(part: 'noise' | 'dark' | 'standardOffset', more: Partial<InputCalibration> = {}) {
  const { [part]: _, ...rest } = calibration(more);
  return rest;
}

/** White noise of the standard deviation of a uniform distribution that is `wide`, by golden-section steps. */
function noisy(wide: number): readonly number[] {
  return Array.from({ length: 1000 }, (_, k) => 4 + wide * (((k * k * 0.6180339887) % 1) - 0.5));
}

describe('the budget', () => {
  it('has no line for what the metric does not feel', () => {
    expect(namesOf(level, [calibration({ timeBase: 1e-3 })])).toEqual([]);
  });

  it('leaves out what the metric never reads, whatever nobody has stated of it', () => {
    const ratio: Metric = { ...level, needs: { ...level.needs, zero: true } };
    const unread = without('standardOffset', { of: 'cool', signal: 'light', standardScale: 0.1 });
    const warm = calibration({ of: 'warm', standardScale: 0.01 });
    expect(namesOf(ratio, [warm, unread], two)).toEqual(['scale of light warm']);
    expect(runsOf(ratio, [warm, unread], two)).toBe(3);
  });

  it('says no-zero only of an input that the metric reads', () => {
    const ratio: Metric = { ...level, needs: { ...level.needs, zero: true } };
    const { outcome } = assess(ratio, steady, [without('standardOffset')], 2);
    expect(outcome).toMatchObject({
      reason: 'no-zero',
      note: 'light: state the standard uncertainty of its offset (0 where the zero is exact), or record it with the lamp off in the same record',
    });
  });

  it('has no quantisation, nor noise of it, of a metric that is blind to it', () => {
    const blind = metricOf(level.compute, ['quantisation']);
    expect(namesOf(blind, [calibration({ step: 0.12 })])).toEqual([]);
    expect(expandedOf(blind, steady, [calibration({ step: 1, noise: 0.6 })])).toBe(
      expandedOf(blind, steady, [calibration({ noise: 0.6 })]),
    );
    expect(expandedOf(level, steady, [calibration({ step: 1, noise: 0.6 })])).toBeGreaterThan(
      expandedOf(level, steady, [calibration({ noise: 0.6 })]),
    );
  });

  it('has no noise of any colour of a metric that is blind to it', () => {
    const blind = metricOf(level.compute, ['noise']);
    expect(namesOf(blind, [calibration({ dark: slow, noise: 0.1 })])).toEqual([]);
    expect(namesOf(level, [calibration({ dark: slow })])).toEqual(['noise']);
  });

  it('moves two records of one clock together', () => {
    const ratio = metricOf((observation) =>
      measured(waveform(observation, 0).rate / waveform(observation, 1).rate),
    );
    const inputs = (sharedTimeBase?: string) =>
      ['warm', 'cool'].map((of) =>
        calibration({ of, timeBase: 1e-4, ...(sharedTimeBase && { sharedTimeBase }) }),
      );
    expect(expandedOf(ratio, two, inputs('crystal'), 1)).toBeCloseTo(0, 9);
    expect(expandedOf(ratio, two, inputs(), 1)).toBeCloseTo(1e-4 * Math.SQRT2, 8);
    const seconds = metricOf((observation) =>
      measured(1 / waveform(observation, 0).rate + 1 / waveform(observation, 1).rate),
    );
    expect(namesOf(seconds, inputs('crystal'), two)).toEqual(['time base of crystal']);
  });

  it('names the three filters of a colour sensor', () => {
    const reading = { capture: 'colour', at: 0, integration: 0.1, X: 30, Y: 40, Z: 30 } as const;
    const observation = observe([], [{ ...reading, state: 'good', of: 'lamp' }]);
    const sum = metricOf(({ colour }) =>
      measured(colour.reduce((all, { X, Y, Z }) => all + X + Y + Z, 0)),
    );
    const sensor = calibration({ signal: 'colour', of: 'lamp', standardScale: 0.01 });
    expect(namesOf(sum, [sensor], observation)).toEqual([
      'scale of colour lamp, X',
      'scale of colour lamp, Y',
      'scale of colour lamp, Z',
    ]);
  });

  it('takes a scale that a colour sensor shares with a photodiode for one error', () => {
    const reading = { capture: 'colour', at: 0, integration: 0.1, X: 30, Y: 40, Z: 30 } as const;
    const observation: Observation = {
      ...steady,
      colour: [{ ...reading, state: 'good', of: 'lamp' }],
    };
    const both = metricOf((seen) =>
      measured(mean(waveform(seen).samples) + seen.colour.reduce((sum, { Y }) => sum + Y, 0)),
    );
    const shared = { standardScale: 0.01, sharedScale: 'head' };
    const inputs = [calibration(shared), calibration({ ...shared, signal: 'colour', of: 'lamp' })];
    expect(namesOf(both, inputs, observation)).toEqual(['scale of head']);
    expect(expandedOf(both, observation, inputs, 1)).toBeCloseTo(0.44, 9);
  });
});

describe('the noise', () => {
  it('is looked at once where the metric does not feel it', () => {
    const length = metricOf((observation) => measured(waveform(observation).samples.length));
    expect(runsOf(length, [calibration({ noise: 0.1 })])).toBe(2);
  });

  it('is not asked for where the metric states white noise itself, but where it is coloured', () => {
    const stating: Metric = { ...level, statesNoise: true };
    expect(runsOf(stating, [calibration({ noise: 0.1 })])).toBe(1);
    expect(namesOf(stating, [calibration({ noise: 0.1, dark: slow })])).toEqual(['noise']);
  });

  it('holds the rounding of a moving light even where the metric states white noise itself', () => {
    const spread: Metric = {
      ...metricOf((observation) => {
        const { samples } = waveform(observation);
        return measured(Math.max(...samples) - Math.min(...samples));
      }),
      statesNoise: true,
    };
    const moving = observe([{ samples: Array.from({ length: 50 }, (_, k) => 4 + k / 30) }]);
    expect(namesOf(spread, [calibration({ step: 0.1 })], moving)).toEqual(['noise']);
  });

  it('has no line where the metric has seen all of it', () => {
    const seen = metricOf((observation) =>
      measured(mean(waveform(observation).samples), undefined, [
        { name: 'scatter', standard: 1, isNoise: true },
      ]),
    );
    expect(namesOf(seen, [calibration({ noise: 0.1 })])).toEqual(['scatter']);
  });

  it('takes the value away where every realisation of it does', () => {
    const fragile = metricOf((observation) => {
      const { samples } = waveform(observation);
      return samples.every((value) => value === 4) ? measured(4) : notMeasurable('no-plateau');
    });
    expect(assess(fragile, steady, [calibration({ noise: 0.1 })], 2).outcome).toMatchObject({
      measured: false,
      reason: 'below-noise',
      note: 'within the standard uncertainty of the noise',
    });
  });

  it('adds why to what the metric says of its refusal', () => {
    const fragile = metricOf((observation) =>
      waveform(observation).samples.every((value) => value === 4)
        ? measured(4)
        : notMeasurable('no-edge', { note: 'the light does not follow' }),
    );
    const { outcome } = assess(fragile, steady, [calibration({ standardScale: 0.1 })], 2);
    expect(outcome).toMatchObject({
      note: 'the light does not follow; within the standard uncertainty of the scale of light',
    });
  });

  it('is another for other readings', () => {
    const withReading = (X: number): Observation => ({
      ...steady,
      colour: [
        { capture: 'colour', at: 0, integration: 0.1, X, Y: 4, Z: 3, state: 'good', of: 'lamp' },
      ],
    });
    const noise = [calibration({ noise: 0.1 })];
    expect(expandedOf(level, withReading(1), noise)).toBe(expandedOf(level, withReading(1), noise));
    expect(expandedOf(level, withReading(1), noise)).not.toBe(
      expandedOf(level, withReading(2), noise),
    );
  });

  it('is each record its own', () => {
    const second = metricOf((observation) => {
      const [first, other] = [waveform(observation, 0), waveform(observation, 1)];
      return measured(mean(other.samples) + 0 * mean(first.samples));
    });
    const quiet = calibration({ of: 'warm', noise: 0.001 });
    const loud = calibration({ of: 'cool', noise: 1 });
    const loudest = expandedOf(second, two, [quiet, loud], 1);
    expect(loudest).toBeGreaterThan(0.03);
    expect(loudest).toBeLessThan(0.3);
  });

  it('is told from the very record where nobody has stated it', () => {
    const second = metricOf((observation) => {
      const [first, other] = [waveform(observation, 0), waveform(observation, 1)];
      return measured(mean(other.samples) + 0 * mean(first.samples));
    });
    const observation = observe([
      { of: 'warm', samples: noisy(0.001) },
      { of: 'cool', samples: noisy(3) },
    ]);
    const inputs = ['warm', 'cool'].map((of) => without('noise', { of }));
    // A uniform distribution of width 3 in a mean of 1,000.
    const expected = 3 / Math.sqrt(12) / Math.sqrt(1000);
    const standard = expandedOf(second, observation, inputs, 1);
    expect(standard).toBeGreaterThan(0.4 * expected);
    expect(standard).toBeLessThan(3 * expected);
  });
});

describe('a settled verdict', () => {
  it('is asked for by the value and the U that is told in the end', () => {
    const noisyLevel = metricOf((observation) => measured(waveform(observation).samples[0] ?? 0));
    const told: [number, number][] = [];
    const input = [calibration({ noise: 0.1, standardScale: 0.01 })];
    const assessed = assess(noisyLevel, steady, input, 3, (value, expanded) => {
      told.push([value, expanded]);
      return true;
    });
    if (!('expanded' in assessed)) throw new Error(assessed.outcome.reason);
    expect(told).toHaveLength(1);
    expect(told[0]?.[0]).toBe(4);
    expect(told[0]?.[1]).toBeCloseTo(assessed.expanded, 12);
  });
});
