import type { Dice } from './dice.ts';
import type { MakeScene, Scene } from './scene.ts';

/** Mains current of a fundamental that lags and a third harmonic; the voltage a sine. */
function mains(dice: Dice) {
  const [lag, third] = [dice.between(0.1, 0.5), dice.between(0.05, 0.25)];
  const phase = dice.between(0, 2 * Math.PI);
  const w = 2 * Math.PI * 50;
  const scene: Omit<Scene, 'truth'> = {
    of: 'lamp',
    sources: [
      {
        signal: 'mains-voltage',
        of: 'mains-voltage',
        value: (at) => 325 * Math.sin(w * at + phase),
        size: 325,
      },
      {
        signal: 'mains-current',
        of: 'mains-current',
        value: (at) => Math.sin(w * at + phase - lag) + third * Math.sin(3 * (w * at + phase)),
        size: 1.2,
      },
    ],
    rate: 20_000,
    length: 0.3,
  };
  return { lag, third, scene };
}

export const mainsScenes: Readonly<Record<string, MakeScene>> = {
  'power-factor': (dice) => {
    const { scene, lag, third } = mains(dice);
    return { ...scene, truth: Math.cos(lag) / Math.hypot(1, third) };
  },
  'displacement-factor': (dice) => {
    const { scene, lag } = mains(dice);
    return { ...scene, truth: Math.cos(lag) };
  },
  'thd-current': (dice) => {
    const { scene, third } = mains(dice);
    return { ...scene, truth: third };
  },
};
