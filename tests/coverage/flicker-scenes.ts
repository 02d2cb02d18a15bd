import {
  saccade,
  streakThreshold,
} from '../../harness/measure/features/flicker/streak-sensitivity.ts';
import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const mean = 100;
/** Hz, where the metric asks for no more. */
const usual = 12_000;

/** A sine of a depth and a frequency on steady light. */
function sine({ depth, frequency, phase }: Sine, rate = usual, length = 1): Omit<Scene, 'truth'> {
  const value = (at: number) => mean * (1 + depth * Math.sin(2 * Math.PI * frequency * at + phase));
  return {
    sources: [{ signal: 'light', of: 'light', value, size: 2 * mean }],
    rate,
    length,
    channels: [commandedSteps('light', [[0, 1]], length)],
  };
}

interface Sine {
  readonly depth: number;
  readonly frequency: number;
  readonly phase: number;
}

function drawn(dice: Dice): Sine {
  return {
    depth: dice.between(0.01, 0.2),
    frequency: dice.between(103, 260),
    phase: dice.between(0, 2 * Math.PI),
  };
}

function ofSine(truth: (depth: number, frequency: number) => number, rate = usual): MakeScene {
  return (dice) => {
    const one = drawn(dice);
    return { ...sine(one, rate), truth: truth(one.depth, one.frequency) };
  };
}

/** Steady light: nothing flickers, and a metric that says so has to say how well it knows. */
function steady(rate = usual, length = 1): MakeScene {
  return () => ({ ...sine({ depth: 0, frequency: 100, phase: 0 }, rate, length), truth: 0 });
}

/** IEEE Std 1789-2015 recommended practices 1 and 2 above 90 Hz (from memory). */
const lowRisk = (depth: number, frequency: number): number => depth / (0.0008 * frequency);
const noEffect = (depth: number, frequency: number): number => depth / (0.000333 * frequency);
/** CIE TN 006:2016, threshold of a sine (from memory). */
const svm = (depth: number, frequency: number): number =>
  depth / (2.865e-5 * frequency ** 1.543 + 0.225);

/** Least sampling rates of SVM, of the practice of no effect and of the filters. */
const [svmRate, noEffectRate, filterRate] = [10_000, 12_000, 20_000];

/** PstLM has no closed form: that of the record without any error stands for it. */
function pst(depth: (dice: Dice) => number): MakeScene {
  return (dice) => ({
    ...sine({ depth: depth(dice), frequency: 8.8, phase: dice.between(0, 6.28) }, 2000, 180),
    truth: 'of the ideal record',
    runs: 0.05,
  });
}

/** A tone within the band that the visible streaks have, for half a second of it. */
const streaks: MakeScene = (dice) => {
  const one = { ...drawn(dice), frequency: dice.between(1100, 9000) };
  return { ...sine(one, 64_000, 0.25), truth: one.depth / streakThreshold(one.frequency, saccade) };
};

/** Mean of a sine over an exposure (sin x / x). */
const banded = ({ depth, frequency }: Sine, exposure: number): number => {
  const x = Math.PI * frequency * exposure;
  return depth * Math.abs(Math.sin(x) / x);
};

/** The exposures of the sweep down to its shortest, s (common practice). */
const swept = [24, 25, 30, 48, 50, 60, 100, 120, 125, 250, 500, 1000, 2000].map((part) => 1 / part);

export const flickerScenes: Readonly<Record<string, MakeScene>> = {
  modulation: ofSine((depth) => depth),
  'modulation of steady light': steady(),
  'flicker-index': ofSine((depth) => depth / Math.PI),
  'dominant-frequency': ofSine((_, frequency) => frequency),
  'ieee1789-low-risk': ofSine(lowRisk),
  'ieee1789-no-effect': ofSine(noEffect, noEffectRate),
  'ieee1789-low-risk-components': ofSine(lowRisk),
  'ieee1789-low-risk-components of steady light': steady(),
  'ieee1789-no-effect-components': ofSine(noEffect, noEffectRate),
  svm: ofSine(svm, svmRate),
  'svm of steady light': steady(svmRate),
  'pst-lm': pst((dice) => dice.between(0.002, 0.01)),
  'pst-lm of steady light': pst(() => 0),
  'band-limited-modulation': (dice) => {
    const one = { ...drawn(dice), frequency: dice.between(20, 120) };
    return { ...sine(one, filterRate, 2), parameters: { 'cut-off': 200 }, truth: one.depth };
  },
  'band-limited-modulation of steady light': steady(filterRate, 2),
  'ja10-modulation': (dice) => {
    const one = { ...drawn(dice), frequency: dice.between(20, 190) };
    return { ...sine(one, filterRate, 2), truth: one.depth / 0.3 };
  },
  'strongest-component': ofSine((depth) => depth),
  'phantom-array': streaks,
  'p-inst-max': (dice) => ({
    ...sine({ ...drawn(dice), depth: dice.between(0.002, 0.01), frequency: 8.8 }, 2000, 20),
    truth: 'of the ideal record',
    runs: 0.5,
  }),
  'dither-rate': ofSine((_, frequency) => frequency),
  'dither-visibility': ofSine(lowRisk),
  'camera-band-contrast': (dice) => {
    const one = drawn(dice);
    const exposure = dice.between(1 / 300, 1 / 60);
    return {
      ...sine(one, usual, 0.5),
      parameters: { exposure, 'frame-rate': 25 },
      truth: banded(one, exposure),
    };
  },
  'camera-band-sweep': (dice) => {
    const one = drawn(dice);
    const truth = Math.max(...swept.map((exposure) => banded(one, exposure)));
    return { ...sine(one, 20_000, 0.5), truth };
  },
};
