import { afterAll, describe, expect, it } from 'vitest';
import { xyToUv1976 } from '../../harness/measure/colorimetry/chromaticity.ts';
import { noDarkNoise } from '../../harness/measure/dark-noise.ts';
import type { Metric } from '../../harness/measure/metric.ts';
import { findMetric } from '../../harness/measure/metrics.ts';
import type { ColourReading, Observation, Window } from '../../harness/measure/observation.ts';
import { seededNoise } from '../../harness/measure/signal/seeded-noise.ts';
import { assess } from '../../harness/verdict/assess.ts';
import { type DecisionRuleName, judge } from '../../harness/verdict/judge.ts';
import type { InputCalibration } from '../../harness/verdict/uncertainty.ts';
import { recorded as recordOf } from '../measure/recorded.ts';
import { sampled } from '../sampled.ts';

/**
 * Does the stated uncertainty hold? Many measurements are simulated, each with calibration errors and noise drawn at
 * random from the very distributions that the calibration states; the interval value ± U (k = 2) must hold the true
 * value in 93 % to 97 % of them. The true values are closed forms, never the metric's own answer.
 */
const trials = 2000;

/** What one simulated measurement hands out. */
interface Trial {
  readonly observation: Observation;
  readonly calibration: readonly InputCalibration[];
  readonly truth: number;
}

interface Dice {
  /** Standard normal. */
  readonly normal: () => number;
  /** Uniform between two figures. */
  readonly between: (low: number, high: number) => number;
}

function diceOf(seed: number): Dice {
  const normal = seededNoise(seed);
  return {
    normal,
    // The phase of two normal deviates is uniform.
    between: (low, high) => {
      const turn = Math.atan2(normal(), normal()) / (2 * Math.PI) + 0.5;
      return low + (high - low) * turn;
    },
  };
}

interface Errors {
  readonly standardScale: number;
  readonly standardOffset: number;
  readonly noise: number;
  readonly timeBase: number;
}

/** A record of `light` (a function of true time) as an instrument with drawn errors takes it. */
function recorded(
  light: (at: number) => number,
  { rate, length }: { readonly rate: number; readonly length: number },
  errors: Errors,
  { normal }: Dice,
): Pick<Trial, 'calibration'> & { readonly samples: Float64Array } {
  const gain = 1 + errors.standardScale * normal();
  const offset = errors.standardOffset * normal();
  const stretch = 1 + errors.timeBase * normal();
  const samples = Float64Array.from({ length: Math.round(rate * length) }, (_, k) => {
    const at = ((k + 0.5) / rate) * stretch;
    return light(at) * gain + offset + errors.noise * normal();
  });
  return {
    samples,
    calibration: [
      { capture: 'light', signal: 'light', of: 'light', ...errors, step: 0, dark: noDarkNoise },
    ],
  };
}

function observe(
  samples: Float64Array,
  rate: number,
  more: Partial<Observation> = {},
): Observation {
  const window = { from: 0, to: samples.length / rate };
  return {
    of: 'light',
    window,
    records: [recordOf('light', 'light', { samples, rate, start: 0, unit: 'lx', clipped: 0 })],
    colour: [],
    frames: [],
    commanded: {
      channels: [],
      marks: [],
      duration: window.to,
      curve: { kind: 'logarithmic', bottom: 0.001 },
    },
    parameters: {},
    ...more,
  };
}

/** On light of about 100 lx: 1 % of scale, 0.5 % of dark offset, 0.1 % of noise. */
const usual: Errors = { standardScale: 0.01, standardOffset: 0.5, noise: 0.1, timeBase: 1e-4 };

/**
 * A sine. The noise is small beside the dark offset: taking noise off the extremes of a sine takes half of its rms too
 * much, which the budget covers but which all goes one way.
 */
function modulationTrial(dice: Dice): Trial {
  const rate = 10_000;
  const depth = dice.between(0.05, 0.6);
  const [frequency, phase] = [dice.between(95, 250), dice.between(0, 2 * Math.PI)];
  const light = (at: number) => 100 * (1 + depth * Math.sin(2 * Math.PI * frequency * at + phase));
  const errors = { ...usual, noise: 0.02 };
  const { samples, calibration } = recorded(light, { rate, length: 0.05 }, errors, dice);
  return { observation: observe(samples, rate), calibration, truth: depth };
}

/** A lone sine: SVM is its relative amplitude over the threshold at its frequency. */
function svmTrial(dice: Dice): Trial {
  const rate = 10_000;
  const frequency = dice.between(90, 300);
  const depth = dice.between(0.05, 0.6);
  const light = (at: number) => 100 * (1 + depth * Math.sin(2 * Math.PI * frequency * at));
  // Noise and time base hardly move it (a hundredth of what the offset does), and cost most of the time.
  const errors = { ...usual, noise: 0, timeBase: 0 };
  const { samples, calibration } = recorded(light, { rate, length: 1 }, errors, dice);
  const threshold = 2.865e-5 * frequency ** 1.543 + 0.225;
  return { observation: observe(samples, rate), calibration, truth: depth / threshold };
}

function levelTrial(dice: Dice): Trial {
  const truth = dice.between(0.005, 0.2);
  const rate = 2000;
  const errors = { ...usual, standardOffset: 0.05 };
  const light = (at: number) => (at < 0.25 ? 500 : 500 * truth);
  const { samples, calibration } = recorded(light, { rate, length: 0.5 }, errors, dice);
  const windows = { window: { from: 0.26, to: 0.5 }, reference: { from: 0, to: 0.24 } };
  return { observation: observe(samples, rate, windows), calibration, truth };
}

function fadeTrial(dice: Dice): Trial {
  const rate = 200;
  const bottom = dice.between(0.005, 0.05);
  const truth = dice.between(0.9, 1.1);
  const errors = { ...usual, standardOffset: 0.05, noise: 0.02, timeBase: 2e-3 };
  const begin = 0.4;
  const light = (at: number) => 200 * bottom ** Math.min(1, Math.max(0, (at - begin) / truth));
  const { samples, calibration } = recorded(light, { rate, length: 1.9 }, errors, dice);
  const segments = [
    { from: 0, to: begin, startLevel: 1, endLevel: 1 },
    { from: begin, to: begin + 1, startLevel: 1, endLevel: bottom },
    { from: begin + 1, to: 1.9, startLevel: bottom, endLevel: bottom },
  ];
  const commanded: Observation['commanded'] = {
    channels: [{ channel: 'light', lumen: 500, xy: [0.44, 0.4], maxCurrent: 0.7, segments }],
    marks: [],
    duration: 1.9,
    curve: { kind: 'logarithmic', bottom: 0.001 },
  };
  return { observation: observe(samples, rate, { commanded }), calibration, truth };
}

/** Two chromaticities some way apart, each read three times by a sensor whose three scales err on their own. */
function uvTrial(dice: Dice): Trial {
  const calibration = [
    {
      capture: 'colour',
      signal: 'colour' as const,
      of: 'lamp',
      standardScale: 0.02,
      standardOffset: 0.02,
      noise: 0.05,
      timeBase: 0,
      step: 0,
    },
  ];
  const { standardScale, standardOffset, noise } = calibration[0]!;
  const axes = ['X', 'Y', 'Z'] as const;
  const gains = axes.map(() => 1 + standardScale * dice.normal());
  const offset = standardOffset * dice.normal();
  const read = (x: number, y: number, Y: number, at: number): ColourReading => {
    const [X, , Z] = [(x / y) * Y, Y, ((1 - x - y) / y) * Y];
    const [mX, mY, mZ] = [X, Y, Z].map(
      (value, k) => value * gains[k]! + offset + noise * dice.normal(),
    ) as [number, number, number];
    const XYZ = { X: mX, Y: mY, Z: mZ };
    return { capture: 'colour', at, integration: 0.1, ...XYZ, state: 'good', of: 'lamp' };
  };
  const here = { x: dice.between(0.3, 0.45), y: dice.between(0.3, 0.42) };
  const there = { x: dice.between(0.3, 0.45), y: dice.between(0.3, 0.42) };
  const colour = [0, 1, 2].flatMap((k) => [
    read(there.x, there.y, 100, 0.2 + 0.2 * k),
    read(here.x, here.y, 40, 1.2 + 0.2 * k),
  ]);
  const [one, two] = [xyToUv1976(here), xyToUv1976(there)];
  const windows: { window: Window; reference: Window } = {
    window: { from: 1, to: 2 },
    reference: { from: 0, to: 1 },
  };
  return {
    observation: { ...observe(new Float64Array(0), 1, windows), of: 'lamp', records: [], colour },
    calibration,
    truth: Math.hypot(one.u - two.u, one.v - two.v),
  };
}

interface Tally {
  readonly held: number;
  readonly refused: number;
  /** Mean of U over the root mean square of the error: 2 where the budget is neither too wide nor too narrow. */
  readonly width: number;
  /** How often a lamp passes whose true value lies on the upper limit, and one that is up to U beyond it. */
  readonly onLimit: Readonly<Record<DecisionRuleName, number>>;
  readonly beyond: Readonly<Record<DecisionRuleName, number>>;
}

function tally(metric: Metric, trial: (dice: Dice) => Trial): Tally {
  let [held, refused, squares, expandeds, count] = [0, 0, 0, 0, 0];
  const onLimit = { guarded: 0, simple: 0 };
  const beyond = { guarded: 0, simple: 0 };
  const parameters = Object.fromEntries(
    metric.parameters.map((parameter) => [parameter.name, parameter.default ?? 0]),
  );
  for (let k = 0; k < trials; k++) {
    const dice = diceOf(1000 + k);
    const { observation, calibration, truth } = trial(dice);
    const assessed = assess(metric, { ...observation, parameters }, calibration, 2);
    if (!('expanded' in assessed)) {
      refused++;
      continue;
    }
    count++;
    const { outcome, expanded } = assessed;
    const error = outcome.value - truth;
    if (Math.abs(error) <= expanded) held++;
    squares += error * error;
    expandeds += expanded;
    const excess = dice.between(0, expanded);
    const passes = (upper: number, rule: DecisionRuleName) =>
      judge(outcome.value, expanded, { lower: null, upper, target: null, text: '' }, rule)
        .verdict === 'pass';
    for (const rule of ['guarded', 'simple'] as const) {
      if (passes(truth, rule)) onLimit[rule] += 1;
      if (passes(truth - excess, rule)) beyond[rule] += 1;
    }
  }
  return {
    held: held / count,
    refused,
    width: expandeds / count / Math.sqrt(squares / count),
    onLimit: { guarded: onLimit.guarded / count, simple: onLimit.simple / count },
    beyond: { guarded: beyond.guarded / count, simple: beyond.simple / count },
  };
}

const percent = (part: number) => `${(100 * part).toFixed(2)} %`;
const report: string[] = [];
afterAll(() => console.log(report.join('\n')));

const simulated = [
  ['modulation', modulationTrial],
  ['level-ratio', levelTrial],
  ['fade-duration', fadeTrial],
  ['uv-shift', uvTrial],
  ['svm', svmTrial],
] as const;

describe(`over ${trials} simulated measurements each`, () => {
  it.each(sampled(simulated, 2))(
    'the interval of %s holds the true value, and the guarded rule keeps bad lamps out',
    { timeout: 240_000 },
    (id, trial) => {
      const { held, refused, width, onLimit, beyond } = tally(findMetric(id)!, trial);
      report.push(
        `${id}: ${percent(held)} of the intervals hold the true value (${refused} refused; mean U is ${width.toFixed(2)} times the rms error)`,
        `  lamps up to U beyond the limit that pass: ${percent(beyond.guarded)} guarded, ${percent(beyond.simple)} simple; on the limit: ${percent(onLimit.guarded)} guarded, ${percent(onLimit.simple)} simple`,
      );
      expect(refused).toBeLessThan(trials / 100);
      expect(held).toBeGreaterThanOrEqual(0.93);
      expect(held).toBeLessThanOrEqual(0.97);
      expect(beyond.guarded).toBeLessThanOrEqual(0.025);
      // Worst case, Φ(-2) = 2.28 % (ILAC-G8:09/2019: below 2.5 %), and what 2000 trials scatter about it: 3.6 times 0.33 %.
      expect(onLimit.guarded).toBeLessThanOrEqual(0.0345);
      // The trial can fail: without the guard band about half of the lamps on the limit pass.
      expect(onLimit.simple).toBeGreaterThan(0.4);
    },
  );
});
