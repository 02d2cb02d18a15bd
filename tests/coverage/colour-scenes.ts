import { uv1976ToXy, xyToUv1976 } from '../../harness/measure/colorimetry/chromaticity.ts';
import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Reading, type Scene } from './scene.ts';

const length = 2;
/** Chromaticities of a warm and a cool channel, both near the Planckian locus. */
const warm = [0.4578, 0.4101] as const;
const cool = [0.3805, 0.3768] as const;

/** Ten readings of each colour, one second after the other. */
function read(colours: readonly (readonly [x: number, y: number])[]): Omit<Scene, 'truth'> {
  const each = length / colours.length;
  const readings = colours.flatMap(([x, y], k) =>
    Array.from({ length: 10 }, (_, n): Reading => {
      const Y = 200;
      return { at: (k + (n + 0.5) / 10) * each, X: (x / y) * Y, Y, Z: ((1 - x - y) / y) * Y };
    }),
  );
  const steps = colours.map((_, k) => [k * each, 1 - 0.5 * k] as const);
  return {
    of: 'lamp',
    sources: [],
    colour: { readings, size: 200 },
    rate: 1000,
    length,
    channels: [commandedSteps('warm', steps, length)],
  };
}

/** A colour near that of the warm channel. */
function near(dice: Dice): readonly [number, number] {
  return [warm[0] + dice.between(-0.01, 0.01), warm[1] + dice.between(-0.005, 0.005)];
}

/** A second colour, so far from the first in u'v'. */
function moved([x, y]: readonly [number, number], by: number, dice: Dice) {
  const { u, v } = xyToUv1976({ x, y });
  const way = dice.between(0, 2 * Math.PI);
  const there = uv1976ToXy({ u: u + by * Math.cos(way), v: v + by * Math.sin(way) });
  return [there.x, there.y] as const;
}

const tracked: MakeScene = (dice) => {
  const one = near(dice);
  const scene = read([one, moved(one, dice.between(0.002, 0.006), dice)]);
  return { ...scene, truth: 'of the ideal record' };
};

const asked = { x: warm[0], y: warm[1] };

const channel = (of: string, value: (at: number) => number) =>
  ({ signal: 'channel-current', of, value, size: 0.5 }) as const;

export const colourScenes: Readonly<Record<string, MakeScene>> = {
  'chromaticity-x': (dice) => {
    const [x, y] = near(dice);
    return { ...read([[x, y]]), truth: x };
  },
  'chromaticity-y': (dice) => {
    const [x, y] = near(dice);
    return { ...read([[x, y]]), truth: y };
  },
  cct: (dice) => ({ ...read([near(dice)]), truth: 'of the ideal record' }),
  duv: (dice) => ({ ...read([near(dice)]), truth: 'of the ideal record' }),
  'uv-distance': (dice) => {
    const by = dice.between(0.002, 0.01);
    return { ...read([moved(warm, by, dice)]), parameters: asked, truth: by };
  },
  'sdcm-steps': (dice) => ({
    ...read([moved(warm, dice.between(0.002, 0.01), dice)]),
    parameters: asked,
    truth: 'of the ideal record',
  }),
  'uv-shift': (dice) => {
    const [one, by] = [near(dice), dice.between(0.001, 0.006)];
    const windows = { reference: { from: 0, to: 1 }, window: { from: 1, to: 2 } };
    return { ...read([one, moved(one, by, dice)]), ...windows, truth: by };
  },
  'cct-tracking': tracked,
  'duv-tracking': tracked,
  'chromaticity-excursion': (dice) => {
    const [swing, middle] = [dice.between(0.05, 0.2), dice.between(0.5, 1.5)];
    // 0.2 s long: far longer than the averages, flat in its middle.
    const bump = (at: number) =>
      Math.abs(at - middle) < 0.1 ? Math.cos((Math.PI * (at - middle)) / 0.2) ** 2 : 0;
    return {
      of: 'lamp',
      sources: [channel('warm', () => 0.4), channel('cool', (at) => 0.4 * (1 - swing * bump(at)))],
      rate: 2000,
      length,
      channels: [
        { ...commandedSteps('warm', [[0, 1]], length), xy: warm },
        { ...commandedSteps('cool', [[0, 1]], length), xy: cool },
      ],
      truth: 'of the ideal record',
    };
  },
  'channel-crosstalk': (dice) => {
    const part = dice.between(0.005, 0.02);
    return {
      of: 'lamp',
      sources: [channel('warm', () => 0.4), channel('cool', () => 0.4 * part)],
      rate: 2000,
      length,
      channels: [
        commandedSteps('warm', [[0, 1]], length),
        commandedSteps('cool', [[0, 0]], length),
      ],
      truth: part,
    };
  },
};
