import { type LowPass, lowPass } from './low-pass.ts';
import { memoiseSamples } from './memoise.ts';
import { type Samples, sampleAt } from './samples.ts';
import { addTone, type Tone, toneNear } from './tone.ts';

/** What is left of a record without its mean and its tones. */
export interface WithoutTones {
  /** By what was asked for, in that order; null where no tone is near. */
  readonly tones: readonly (Tone | null)[];
  /** Filters the rest. */
  readonly lowPass: LowPass;
}

interface Wanted {
  /** In the samples' unit. */
  readonly mean: number;
  /** Where the tones are, cycles a sample, the strongest first. */
  readonly near: readonly number[];
  /** Cycles a sample; a fit that moves farther met another tone, which stays. */
  readonly farthest: number;
}

/** Takes the mean and the tones out of a record, one tone after another. */
export function withoutTones(samples: Samples, { mean, near, farthest }: Wanted): WithoutTones {
  return remembered(samples, mean, rounded(farthest), ...near.map(rounded));
}

/** To these digits frequencies are alike that went through Hz of one clock or another. */
const digits = 12;

function rounded(frequency: number): number {
  return Number(frequency.toPrecision(digits));
}

const remembered = memoiseSamples(
  (samples, mean: number, farthest: number, ...near: number[]): WithoutTones => {
    const rest = new Float64Array(samples.length);
    for (let k = 0; k < rest.length; k++) rest[k] = sampleAt(samples, k) - mean;
    const tones = near.map((frequency) => {
      const tone = toneNear(rest, frequency);
      if (Math.abs(tone.frequency - frequency) > farthest) return null;
      addTone(rest, tone, -1);
      return tone;
    });
    return { tones, lowPass: lowPass(rest) };
  },
);
