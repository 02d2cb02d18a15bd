import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const full = 200;
const rate = 20_000;
const length = 1;

interface Event {
  readonly from: number;
  readonly long: number;
  /** Light during the event, as a part of the steady light. */
  readonly level: number;
}

/** Steady light that is something else for a few short times. */
function interrupted(events: readonly Event[]): Omit<Scene, 'truth'> {
  const value = (at: number) =>
    full * (events.find(({ from, long }) => at >= from && at < from + long)?.level ?? 1);
  const size = full * Math.max(1, ...events.map(({ level }) => level));
  return {
    sources: [{ signal: 'light', of: 'light', value, size }],
    rate,
    length,
    channels: [commandedSteps('light', [[0, 1]], length)],
  };
}

const once = (dice: Dice, level: number, long = dice.between(3e-3, 15e-3)): Event => ({
  from: dice.between(0.2, 0.7),
  long,
  level,
});

function twice(dice: Dice, level: number): readonly Event[] {
  return [0.3, 0.6].map((about) => ({ ...once(dice, level), from: about + dice.between(0, 0.1) }));
}

/** Relative light that is commanded to be 1, and `end` from 0.5 s on, against what it is before. */
function extreme(relative: (at: number) => number, end: 0 | 1, truth: number): Scene {
  const value = (at: number) => full * relative(at);
  return {
    sources: [{ signal: 'light', of: 'light', value, size: full }],
    rate,
    length,
    window: { from: 0.6, to: 1 },
    reference: { from: 0, to: 0.4 },
    channels: [
      commandedSteps(
        'light',
        [
          [0, 1],
          [0.5, end],
        ],
        length,
      ),
    ],
    truth,
  };
}

export const eventScenes: Readonly<Record<string, MakeScene>> = {
  blackouts: (dice) => ({ ...interrupted(twice(dice, 0)), truth: 2 }),
  flashes: (dice) => ({ ...interrupted(twice(dice, 2)), truth: 2 }),
  'longest-blackout': (dice) => {
    const event = once(dice, 0);
    return { ...interrupted([event]), truth: event.long };
  },
  'longest-flash': (dice) => {
    const event = once(dice, 2);
    return { ...interrupted([event]), truth: event.long };
  },
  'deepest-dip': (dice) => {
    const depth = dice.between(0.1, 0.8);
    return { ...interrupted([once(dice, 1 - depth)]), truth: depth };
  },
  'highest-flash': (dice) => {
    const height = dice.between(0.1, 0.8);
    return { ...interrupted([once(dice, 1 + height)]), truth: height };
  },
  'highest-level': (dice) => {
    const [height, from] = [dice.between(0.05, 0.5), dice.between(0.65, 0.9)];
    return extreme((at) => (at < 0.5 ? 1 : at >= from && at < from + 5e-3 ? height : 0), 0, height);
  },
  'lowest-level': (dice) => {
    const [height, from] = [dice.between(0.05, 0.9), dice.between(0.65, 0.9)];
    return extreme((at) => (at >= from && at < from + 5e-3 ? height : 1), 1, height);
  },
  'afterglow-time': (dice) => {
    const [decay, threshold] = [dice.between(5e-3, 20e-3), 0.02];
    const value = (at: number) => full * (at < 0.5 ? 1 : Math.exp((0.5 - at) / decay));
    return {
      sources: [{ signal: 'light', of: 'light', value, size: full }],
      rate,
      length,
      window: { from: 0.5, to: 1 },
      reference: { from: 0, to: 0.45 },
      parameters: { threshold },
      channels: [
        commandedSteps(
          'light',
          [
            [0, 1],
            [0.5, 0],
          ],
          length,
        ),
      ],
      truth: decay * Math.log(1 / threshold),
    };
  },
};
