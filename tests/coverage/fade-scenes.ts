import type { Dice } from './dice.ts';
import { commandedRamp, commandedSteps, type MakeScene, type Scene } from './scene.ts';

const full = 200;
const rate = 1000;
const asked = [0.5, 1.5] as const;
const length = 2.2;

/** A fade on the logarithmic curve that begins late and takes longer than it should. */
function fade(dice: Dice, over = dice.between(0.95, 1.05), late = dice.between(0, 0.03)) {
  const bottom = dice.between(0.05, 0.1);
  const start = asked[0] + late;
  const level = (at: number) => bottom ** Math.min(1, Math.max(0, (at - start) / over));
  return { bottom, start, over, late, level };
}

function scene(level: (at: number) => number, bottom: number): Omit<Scene, 'truth'> {
  return {
    sources: [{ signal: 'light', of: 'light', value: (at) => full * level(at), size: full }],
    rate,
    length,
    channels: [commandedRamp('light', asked, [1, bottom], length)],
  };
}

/** Two channels of which one is late. */
const crossfade: MakeScene = (dice) => {
  const late = dice.between(0.005, 0.03);
  const [one, two] = [fade(dice, 1, 0), fade(dice, 1, late)];
  const source = (of: string, { level }: ReturnType<typeof fade>) =>
    ({
      signal: 'channel-current',
      of,
      value: (at: number) => 0.5 * level(at),
      size: 0.5,
    }) as const;
  return {
    of: 'lamp',
    sources: [source('warm', one), source('cool', two)],
    rate,
    length,
    channels: [
      commandedRamp('warm', asked, [1, one.bottom], length),
      commandedRamp('cool', asked, [1, two.bottom], length),
    ],
    truth: late,
  };
};

export const fadeScenes: Readonly<Record<string, MakeScene>> = {
  'fade-duration': (dice) => {
    const { level, bottom, over } = fade(dice);
    return { ...scene(level, bottom), truth: over };
  },
  'fade-start-delay': (dice) => {
    const { level, bottom, late } = fade(dice);
    return { ...scene(level, bottom), truth: late };
  },
  'fade-overshoot': (dice) => {
    const { level, bottom, start, over } = fade(dice, 1, 0);
    const depth = dice.between(0.01, 0.04) * (1 - bottom);
    const end = start + over;
    // A dip of 0.2 s: far longer than the averages, flat in its middle.
    const dip = (at: number) =>
      at > end && at < end + 0.2 ? Math.sin((Math.PI * (at - end)) / 0.2) : 0;
    const passed = hannOfHalfSine(0.02, 0.2);
    return {
      ...scene((at) => level(at) - depth * dip(at), bottom),
      truth: (depth * passed) / (1 - bottom),
    };
  },
  'curve-deviation': (dice) => {
    const { level, bottom, start, over } = fade(dice, 1, 0);
    const bump = dice.between(0.02, 0.08);
    const width = 0.16;
    const middle = start + over * 0.5;
    const shape = (at: number) =>
      Math.abs(at - middle) < width / 2 ? Math.cos((Math.PI * (at - middle)) / width) ** 2 : 0;
    return {
      ...scene((at) => level(at) * (1 + bump * shape(at)), bottom),
      truth: 'of the ideal record',
    };
  },
  'largest-visible-step': (dice) => {
    const step = dice.between(0.02, 0.06);
    const at0 = dice.between(0.8, 1.2);
    return {
      sources: [
        {
          signal: 'light',
          of: 'light',
          value: (at) => full * (at < at0 ? 1 : 1 - step),
          size: full,
        },
      ],
      rate,
      length: 2,
      channels: [commandedSteps('light', [[0, 1]], 2)],
      truth: 'of the ideal record',
    };
  },
  'curve-deviation of a plain fade': (dice) => {
    const { level, bottom } = fade(dice, 1);
    return { ...scene(level, bottom), truth: 0 };
  },
  'largest-visible-step within a fade': (dice) => {
    const { level, bottom } = fade(dice, 1, 0);
    const step = dice.between(0.03, 0.1);
    const at0 = dice.between(0.8, 1.2);
    return {
      ...scene((at) => level(at) * (at < at0 ? 1 : 1 / (1 + step)), bottom),
      truth: step,
    };
  },
  'arrival-spread': crossfade,
  'start-spread': crossfade,
  'fade-synchrony': crossfade,
  'settling-time': (dice) => {
    const bottom = dice.between(0.05, 0.1);
    const [above, slow] = [dice.between(0.1, 0.3), dice.between(0.03, 0.06)];
    const [start, end] = asked;
    // The last of it dies away: within 2 % of the final level after slow · ln(above / 2 %).
    const level = (at: number) =>
      at < end
        ? (bottom * (1 + above)) ** Math.max(0, (at - start) / (end - start))
        : bottom * (1 + above * Math.exp((end - at) / slow));
    return { ...scene(level, bottom), truth: slow * Math.log(above / 0.02) };
  },
  'fade-undershoot': (dice) => {
    const { level, bottom, start, over } = fade(dice, 1, 0);
    const depth = dice.between(0.01, 0.04) * (1 - bottom);
    const end = start + over;
    const back = (at: number) =>
      at > end && at < end + 0.2 ? Math.sin((Math.PI * (at - end)) / 0.2) : 0;
    return {
      ...scene((at) => level(at) + depth * back(at), bottom),
      truth: (depth * hannOfHalfSine(0.02, 0.2)) / (1 - bottom),
    };
  },
  'command-latency': (dice) => {
    const late = dice.between(0.005, 0.03);
    return {
      sources: [
        {
          signal: 'light',
          of: 'light',
          value: (at) => full * (at < 0.5 + late ? 0.2 : 1),
          size: full,
        },
      ],
      rate: 4000,
      length: 1,
      channels: [
        commandedSteps(
          'light',
          [
            [0, 0.2],
            [0.5, 1],
          ],
          1,
        ),
      ],
      truth: late,
    };
  },
};

/** What a Hann window of one width leaves of the top of a half sine, by summation. */
function hannOfHalfSine(width: number, long: number): number {
  return hannMean(width, (x) => Math.cos((Math.PI * x) / long));
}

function hannMean(width: number, shape: (x: number) => number): number {
  let [sum, weights] = [0, 0];
  for (let k = 0; k < 1000; k++) {
    const x = ((k + 0.5) / 1000 - 0.5) * width;
    const weight = 1 + Math.cos((2 * Math.PI * x) / width);
    sum += weight * shape(x);
    weights += weight;
  }
  return sum / weights;
}
