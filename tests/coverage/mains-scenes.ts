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
  'harmonic-ratio': (dice) => {
    const { scene, lag, third } = mains(dice);
    // IEC 61000-3-2 class C: the third may have 30 % of the fundamental, times the power factor (from memory).
    const powerFactor = Math.cos(lag) / Math.hypot(1, third);
    return { ...scene, truth: third / (0.3 * powerFactor) };
  },
  'input-power': (dice) => {
    const { scene, lag } = mains(dice);
    return { ...scene, truth: (325 / 2) * Math.cos(lag) };
  },
  'inrush-current': (dice) => {
    const [peak, decay] = [dice.between(2, 8), dice.between(0.5e-3, 2e-3)];
    const from = dice.between(9e-3, 11e-3);
    const value = (at: number) => (at < from ? 0 : 0.2 + peak * Math.exp((from - at) / decay));
    return {
      of: 'lamp',
      sources: [{ signal: 'supply-current', of: 'supply-current', value, size: 8 }],
      rate: 50_000,
      length: 0.05,
      truth: 0.2 + peak,
    };
  },
  'reported-power-error': (dice) => metered(dice, 'active-power'),
  'reported-energy-error': (dice) => metered(dice, 'active-energy'),
};

/** A lamp on 48 V whose current grows, and what its meter says of it: whole steps, at instants that are known to 50 ms. */
function metered(dice: Dice, property: 'active-power' | 'active-energy'): Scene {
  const [first, last, error] = [dice.between(1, 2), dice.between(1, 2), dice.between(-0.05, 0.05)];
  const length = 2;
  const value = (at: number) => first + ((last - first) * at) / length;
  const energy = (at: number) => 48 * (first * at + ((last - first) * at ** 2) / (2 * length));
  const resolution = property === 'active-energy' ? 0.5 : 1;
  const said = (at: number, told: number) => {
    const from = at - dice.between(0, 0.05);
    const start = resolution * dice.between(0, 1);
    const rounded = resolution * Math.floor((start + told) / resolution);
    return { property, value: rounded, resolution, from, to: from + 0.05 };
  };
  const reports = [0.2, 1.8].map((at) => said(at, (1 + error) * energy(at)));
  const power = said(1, ((1 + error) * energy(length)) / length);
  return {
    of: 'lamp',
    sources: [
      { signal: 'supply-voltage', of: 'supply-voltage', value: () => 48, size: 48 },
      { signal: 'supply-current', of: 'supply-current', value, size: 2 },
    ],
    rate: 2000,
    length,
    truth: error,
    selfReports: property === 'active-energy' ? reports : [{ ...power, value: power.value }],
  };
}
