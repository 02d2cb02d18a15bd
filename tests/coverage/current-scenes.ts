import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const size = 0.7;

function current(
  value: (at: number) => number,
  rate: number,
  length: number,
): Omit<Scene, 'truth'> {
  return {
    of: 'warm',
    sources: [{ signal: 'channel-current', of: 'warm', value, size }],
    rate,
    length,
    channels: [commandedSteps('warm', [[0, 1]], length)],
  };
}

/** Ripple of a switching stage: a triangle between valley and peak. */
function ripple(dice: Dice) {
  const [valley, peak] = [dice.between(0.4, 0.45), dice.between(0.6, 0.65)];
  const [on, off] = [dice.between(1.4e-6, 1.6e-6), dice.between(0.9e-6, 1.1e-6)];
  const shift = dice.between(0, on + off);
  const value = (at: number) => {
    const t = (at + shift) % (on + off);
    return t < on ? valley + ((peak - valley) * t) / on : peak - ((peak - valley) * (t - on)) / off;
  };
  return { valley, peak, on, off, scene: current(value, 50e6, 60e-6) };
}

/** Pulses with straight flanks. */
function pulses(dice: Dice) {
  const [rise, fall] = [dice.between(2e-6, 4e-6), dice.between(2e-6, 4e-6)];
  const [period, wide] = [1e-4, dice.between(3e-5, 5e-5)];
  const shift = dice.between(0, period);
  const value = (at: number) => {
    const t = (at + shift) % period;
    if (t < rise) return (0.6 * t) / rise;
    if (t < wide) return 0.6;
    return t < wide + fall ? 0.6 * (1 - (t - wide) / fall) : 0;
  };
  return { rise, fall, wide, scene: current(value, 5e6, 2e-3) };
}

export const currentScenes: Readonly<Record<string, MakeScene>> = {
  'mean-current': (dice) => {
    const level = dice.between(0.2, 0.6);
    return { ...current(() => level, 2000, 1), truth: level };
  },
  'mean-current of pulses that keep step with the samples': (dice) => {
    // On places that the 16 points of a mean over a sample divide evenly: 50 samples a period.
    const [duty, phase] = [dice.between(0.2, 0.7), dice.between(0, 1)].map(
      (part) => Math.round(800 * part) / 800,
    ) as [number, number];
    const value = (at: number) => ((at * 20e3 + phase) % 1 < duty ? 0.35 : 0);
    return { ...current(value, 1e6, 20e-3), truth: 0.35 * duty };
  },
  'peak-current': (dice) => {
    const { scene, peak } = ripple(dice);
    return { ...scene, truth: peak };
  },
  'ripple-current': (dice) => {
    const { scene, peak, valley } = ripple(dice);
    return { ...scene, truth: peak - valley };
  },
  'switching-frequency': (dice) => {
    const { scene, on, off } = ripple(dice);
    return { ...scene, truth: 1 / (on + off) };
  },
  'off-time': (dice) => {
    const { scene, off } = ripple(dice);
    return { ...scene, truth: off };
  },
  'rise-time': (dice) => {
    const { scene, rise } = pulses(dice);
    return { ...scene, truth: 0.8 * rise };
  },
  'fall-time': (dice) => {
    const { scene, fall } = pulses(dice);
    return { ...scene, truth: 0.8 * fall };
  },
  'shortest-pulse': (dice) => {
    const { scene, rise, fall, wide } = pulses(dice);
    return { ...scene, truth: wide - rise / 2 + fall / 2 };
  },
  'turn-on-overshoot': (dice) => {
    const over = dice.between(0.03, 0.12);
    const value = (at: number) => (at < 1e-3 ? 0 : at < 1.5e-3 ? 0.5 * (1 + over) : 0.5);
    return {
      ...current(value, 200e3, 6e-3),
      channels: [
        commandedSteps(
          'warm',
          [
            [0, 0],
            [1e-3, 1],
          ],
          6e-3,
        ),
      ],
      truth: over,
    };
  },
};
