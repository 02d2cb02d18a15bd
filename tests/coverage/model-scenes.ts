import type { ModelledLamp } from '../../harness/measure/modelled-lamp.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const full = 0.7;
const [rate, length] = [10_000, 1];
/** Half light, a fifth from here on; the lamp may be 25 ms late, and 5 % off. */
const [turn, latency, allowed] = [0.5, 0.025, 1.05];
const told = (at: number): number => (at < turn ? 0.5 : 0.2);

const modelled: Omit<ModelledLamp, 'inputs'> = {
  levelAt(_, at) {
    const levels = [told(at), told(at - latency)];
    return { low: Math.min(...levels) / allowed, high: Math.max(...levels) * allowed };
  },
  whyWide: () => null,
  leadAt: () => 'dim',
  answers: [],
  standardInstant: 0,
  pulse: 0,
};

/** A lamp that obeys 8 ms after the command, and does something else within a window. */
function seen(own: (at: number) => number | null): Omit<Scene, 'truth'> {
  const value = (at: number) => full * (own(at) ?? told(at - 0.008));
  return {
    of: 'warm',
    sources: [{ signal: 'channel-current', of: 'warm', value, size: full }],
    rate,
    length,
    modelled,
    channels: [
      commandedSteps(
        'warm',
        [
          [0, 0.5],
          [turn, 0.2],
        ],
        length,
      ),
    ],
  };
}

export const modelScenes: Readonly<Record<string, MakeScene>> = {
  'time-outside-model': (dice) => {
    const [from, long] = [dice.between(0.1, 0.4), dice.between(2e-3, 30e-3)];
    const level = dice.between(0, 0.3);
    const isInside = (at: number) => at >= from && at < from + long;
    return { ...seen((at) => (isInside(at) ? level : null)), truth: long };
  },
  'time-outside-model of a late command': (dice) => {
    const late = dice.between(2e-3, 60e-3);
    const isLate = (at: number) => at >= turn && at < turn + latency + late;
    return { ...seen((at) => (isLate(at) ? 0.5 : null)), truth: late };
  },
  'time-outside-model of a sound lamp': () => ({ ...seen(() => null), truth: 0 }),
  'model-excursion': (dice) => {
    const [from, long] = [dice.between(0.1, 0.4), dice.between(5e-3, 30e-3)];
    const part = dice.between(0.1, 0.8);
    // As far below the least as 10 % of tolerance leave it.
    const level = (1 - part) * 0.9 * (0.5 / allowed);
    const isInside = (at: number) => at >= from && at < from + long;
    return { ...seen((at) => (isInside(at) ? level : null)), truth: part };
  },
  'model-excursion of a sound lamp': () => ({ ...seen(() => null), truth: 0 }),
};
