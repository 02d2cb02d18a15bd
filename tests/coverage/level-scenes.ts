import type { Dice } from './dice.ts';
import { commandedSteps, type MakeScene, type Scene } from './scene.ts';

const full = 200;
const rate = 2000;

/** Full light, then a lower level that is off its command by some per cent. */
function twoLevels(dice: Dice): Omit<Scene, 'truth'> & { level: number; asked: number } {
  const asked = dice.between(0.02, 0.2);
  const level = asked * dice.between(0.95, 1.05);
  return {
    level,
    asked,
    sources: [light((at) => full * (at < 0.5 ? 1 : level))],
    rate,
    length: 1,
    window: { from: 0.55, to: 1 },
    reference: { from: 0, to: 0.45 },
    channels: [
      commandedSteps(
        'light',
        [
          [0, 1],
          [0.5, asked],
        ],
        1,
      ),
    ],
  };
}

function light(value: (at: number) => number, size = full) {
  return { signal: 'light', of: 'light', value, size } as const;
}

const ratio: MakeScene = (dice) => {
  const scene = twoLevels(dice);
  return { ...scene, truth: scene.level };
};

/** CIE 1976 lightness above (6/29)^3 (CIE 15:2004 8.2.1). */
const lightness = (level: number): number => 116 * Math.cbrt(level) - 16;

/** Levels of a sweep, each a quarter of a second, from `commands` and what the lamp makes of them. */
function sweep(
  dice: Dice,
  commands: readonly number[],
  made: readonly number[],
): Omit<Scene, 'truth'> {
  // Levels that always fall on the same place between two codes would all err alike.
  const lamp = dice.between(0.9, 1);
  const each = 0.25;
  const length = each * commands.length;
  return {
    sources: [
      light((at) => lamp * full * (made[Math.min(made.length - 1, Math.floor(at / each))] ?? 0)),
    ],
    rate,
    length,
    channels: [
      commandedSteps(
        'light',
        commands.map((level, k) => [k * each, level]),
        length,
      ),
    ],
  };
}

const rising = [0.1, 0.15, 0.22, 0.33, 0.5, 0.75];
const toFull = [0.1, 0.2, 0.33, 0.6, 1];

/** A sweep to full light of which one level is too bright by a part. */
function offCurve(dice: Dice, off: number): Omit<Scene, 'truth'> {
  return sweep(
    dice,
    toFull,
    toFull.map((level, k) => level * (k === 2 ? 1 + off : 1)),
  );
}

/** A steady level with a slow course of its own. */
function steady(course: (at: number) => number, length = 2): Omit<Scene, 'truth'> {
  return {
    sources: [light((at) => 0.5 * full * course(at))],
    rate,
    length,
    channels: [commandedSteps('light', [[0, 0.5]], length)],
  };
}

export const levelScenes: Readonly<Record<string, MakeScene>> = {
  'level-ratio': ratio,
  'level-after-loss': ratio,
  'recall-level': ratio,
  'level-error': (dice) => {
    const scene = twoLevels(dice);
    return { ...scene, truth: scene.level / scene.asked - 1 };
  },
  'level-error-lightness': (dice) => {
    const scene = twoLevels(dice);
    return { ...scene, truth: lightness(scene.level) - lightness(scene.asked) };
  },
  'step-size': (dice) => {
    const made = rising.map((level, k) => level * (k === 3 ? dice.between(1.05, 1.1) : 1));
    return { ...sweep(dice, rising, made), truth: (made[3] ?? 0) / (made[2] ?? 1) - 1 };
  },
  monotonicity: (dice) => {
    const back = dice.between(0.02, 0.1);
    const made = rising.map((level, k) => (k === 3 ? 0.22 * (1 - back) : level));
    return { ...sweep(dice, rising, made), truth: back };
  },
  'dead-zone': (dice) => {
    const shift = dice.between(0.98, 1.02);
    const made = rising.map((level, k) => shift * (k === 3 ? 0.22 : level));
    return { ...sweep(dice, rising, made), truth: 0.33 / 0.22 - 1 };
  },
  'sweep-deviation': (dice) => {
    const off = dice.between(0.03, 0.1);
    return { ...offCurve(dice, off), truth: off };
  },
  'sweep-deviation-lightness': (dice) => {
    const off = dice.between(0.03, 0.1);
    return { ...offCurve(dice, off), truth: lightness(0.33 * (1 + off)) - lightness(0.33) };
  },
  'dynamic-range': (dice) => {
    const least = dice.between(0.02, 0.2);
    const commands = [1, 0.5, least];
    return { ...sweep(dice, commands, commands), truth: 1 / least };
  },
  hysteresis: (dice) => {
    const commands = [0.1, 0.3, 0.6, 0.3, 0.1];
    const apart = dice.between(0.02, 0.1);
    const made = commands.map((level, k) => (k === 3 ? level * (1 + apart) : level));
    return { ...sweep(dice, commands, made), truth: apart / (1 + apart / 2) };
  },
  'lowest-stable-level': (dice) => {
    const commands = [0.8, 0.4, 0.2, 0.1];
    const shift = dice.between(0.95, 1.05);
    const made = commands.map((level, k) => (k === 3 ? level * shift : level));
    return {
      ...sweep(dice, commands, made),
      parameters: { smoothing: 0.01 },
      truth: (0.1 * shift) / 0.8,
    };
  },
  'level-noise': (dice) => {
    const [amplitude, phase] = [dice.between(0.002, 0.01), dice.between(0, 6.28)];
    const smoothing = 0.05;
    const frequency = 3;
    // A Hann window of width w passes sinc(fw) / (1 - (fw)^2) of a sine (closed form).
    const x = frequency * smoothing;
    const passed = Math.sin(Math.PI * x) / (Math.PI * x) / (1 - x * x);
    const course = (at: number) => 1 + amplitude * Math.sin(2 * Math.PI * frequency * at + phase);
    return { ...steady(course), truth: (passed * amplitude) / Math.SQRT2 };
  },
  'level-drift': (dice) => {
    const drift = dice.between(0.005, 0.03);
    // From the middle of the first average to that of the last.
    return { ...steady((at) => 1 + drift * (at / 2 - 0.5)), truth: drift * (1.95 / 2) };
  },
  dropouts: (dice) => {
    const at = dice.between(0.5, 1.4);
    return { ...steady((t) => (t > at && t < at + 0.1 ? 0 : 1)), truth: 1 };
  },
  regulation: (dice) => {
    const [apart, lamp] = [dice.between(0.005, 0.03), dice.between(0.9, 1)];
    const scene = steady((at) => lamp * (at < 1 ? 1 : 1 + apart));
    const windows = { window: { from: 1, to: 2 }, reference: { from: 0, to: 1 } };
    return { ...scene, ...windows, truth: apart / (1 + apart / 2) };
  },
  'channel-ratio-drift': (dice) => {
    const drift = dice.between(0.01, 0.05);
    const steps = [
      [0, 1],
      [0.5, 0.1],
    ] as const;
    const channel = (of: string, low: number) =>
      ({
        signal: 'channel-current',
        of,
        value: (at: number) => (at < 0.5 ? 0.5 : 0.5 * low),
        size: 0.5,
      }) as const;
    return {
      of: 'lamp',
      sources: [channel('warm', 0.1 * (1 + drift)), channel('cool', 0.1)],
      rate,
      length: 1,
      window: { from: 0.55, to: 1 },
      reference: { from: 0, to: 0.45 },
      channels: [commandedSteps('warm', steps, 1), commandedSteps('cool', steps, 1)],
      // Of two channels one is as far above their mean as the other is below.
      truth: drift / 2 / (1 + drift / 2),
    };
  },
};
