import { seededNoise } from '../../harness/measure/signal/seeded-noise.ts';

/** What is drawn at random in one simulated measurement. */
export interface Dice {
  /** Standard normal. */
  normal(): number;
  /** Uniform between two figures. */
  between(low: number, high: number): number;
}

export function diceOf(seed: number): Dice {
  const normal = seededNoise(seed);
  return {
    normal,
    // The phase of two normal deviates is uniform.
    between: (low, high) =>
      low + (high - low) * (Math.atan2(normal(), normal()) / (2 * Math.PI) + 0.5),
  };
}
