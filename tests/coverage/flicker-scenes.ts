import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const mean = 100;
const rate = 10_000;

/** A sine of a depth and a frequency on steady light. */
function sine(depth: number, frequency: number, phase: number, length = 1): Omit<Scene, 'truth'> {
  const value = (at: number) => mean * (1 + depth * Math.sin(2 * Math.PI * frequency * at + phase));
  return {
    sources: [{ signal: 'light', of: 'light', value, size: 2 * mean }],
    rate,
    length,
    channels: [commandedSteps('light', [[0, 1]], length)],
  };
}

function drawn(dice: Dice) {
  return {
    depth: dice.between(0.01, 0.2),
    frequency: dice.between(103, 260),
    phase: dice.between(0, 2 * Math.PI),
  };
}

function ofSine(truth: (depth: number, frequency: number) => number, length = 1): MakeScene {
  return (dice) => {
    const { depth, frequency, phase } = drawn(dice);
    return { ...sine(depth, frequency, phase, length), truth: truth(depth, frequency) };
  };
}

/** Steady light: nothing flickers, and a metric that says so has to say how well it knows. */
function steady(length = 1): MakeScene {
  return () => ({ ...sine(0, 100, 0, length), truth: 0 });
}

/** IEEE Std 1789-2015 recommended practices 1 and 2 above 90 Hz (from memory). */
const lowRisk = (depth: number, frequency: number): number => depth / (0.0008 * frequency);
const noEffect = (depth: number, frequency: number): number => depth / (0.000333 * frequency);
/** CIE TN 006:2016, threshold of a sine (from memory). */
const svm = (depth: number, frequency: number): number =>
  depth / (2.865e-5 * frequency ** 1.543 + 0.225);

export const flickerScenes: Readonly<Record<string, MakeScene>> = {
  modulation: ofSine((depth) => depth),
  'modulation of steady light': steady(),
  'flicker-index': ofSine((depth) => depth / Math.PI),
  'dominant-frequency': ofSine((_, frequency) => frequency),
  'ieee1789-low-risk': ofSine(lowRisk),
  'ieee1789-no-effect': ofSine(noEffect),
  'ieee1789-low-risk-components': ofSine(lowRisk),
  'ieee1789-low-risk-components of steady light': steady(),
  'ieee1789-no-effect-components': ofSine(noEffect),
  svm: ofSine(svm),
  'svm of steady light': steady(),
  'band-limited-modulation': (dice) => {
    const { depth, phase } = drawn(dice);
    const frequency = dice.between(20, 120);
    return { ...sine(depth, frequency, phase), parameters: { 'cut-off': 200 }, truth: depth };
  },
  'dither-rate': ofSine((_, frequency) => frequency),
  'dither-visibility': ofSine(lowRisk),
  'camera-band-contrast': (dice) => {
    const { depth, frequency, phase } = drawn(dice);
    const exposure = 1 / 250;
    const x = Math.PI * frequency * exposure;
    return {
      ...sine(depth, frequency, phase),
      parameters: { exposure, 'frame-rate': 25 },
      truth: depth * Math.abs(Math.sin(x) / x),
    };
  },
};
