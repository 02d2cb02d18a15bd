import type { ModelledLamp } from '../../harness/measure/modelled-lamp.ts';
import type {
  CommandedChannel,
  Observation,
  SelfReport,
  Window,
} from '../../harness/measure/observation.ts';
import type { WaveformSignal } from '../../harness/measure/signals.ts';
import type { Dice } from './dice.ts';

/** What the world does in one measurement, without any instrument, and what the metric has to say of it. */
export interface Scene {
  /** In the metric's unit: a closed form; where there is none, the metric's own figure of the record without any error. */
  readonly truth: number | 'of the ideal record';
  /** Part of the runs that others get, where one takes long. */
  readonly runs?: number;
  readonly sources: readonly Source[];
  /** Hz. */
  readonly rate: number;
  /** s */
  readonly length: number;
  readonly of?: string;
  readonly window?: Window;
  readonly reference?: Window;
  readonly channels?: readonly CommandedChannel[];
  readonly marks?: Observation['commanded']['marks'];
  readonly parameters?: Readonly<Record<string, number | string>>;
  readonly selfReports?: readonly SelfReport[];
  /** What a model of the lamp says of it. */
  readonly modelled?: Omit<ModelledLamp, 'inputs'>;
  /** What a colour sensor would read, and the size that its errors are parts of. */
  readonly colour?: { readonly readings: readonly Reading[]; readonly size: number };
}

/** Tristimulus values at an instant, s. */
export interface Reading {
  readonly at: number;
  readonly X: number;
  readonly Y: number;
  readonly Z: number;
}

/** One signal over true time. */
export interface Source {
  readonly signal: WaveformSignal;
  readonly of: string;
  /** Value at an instant, s, in the signal's unit. */
  value(at: number): number;
  /** Largest value: the instruments' errors are parts of it. */
  readonly size: number;
}

export type MakeScene = (dice: Dice) => Scene;

/** Levels one after another, each from an instant to the next, as a channel's command. */
export function commandedSteps(
  channel: string,
  steps: readonly (readonly [from: number, level: number])[],
  length: number,
): CommandedChannel {
  return {
    ...nominal(channel),
    segments: steps.map(([from, level], k) => ({
      from,
      to: steps[k + 1]?.[0] ?? length,
      startLevel: level,
      endLevel: level,
    })),
  };
}

/** One fade from a level to another. */
export function commandedRamp(
  channel: string,
  [from, to]: readonly [number, number],
  [startLevel, endLevel]: readonly [number, number],
  length: number,
): CommandedChannel {
  return {
    ...nominal(channel),
    segments: [
      { from: 0, to: from, startLevel, endLevel: startLevel },
      { from, to, startLevel, endLevel },
      { from: to, to: length, startLevel: endLevel, endLevel },
    ],
  };
}

function nominal(channel: string): Omit<CommandedChannel, 'segments'> {
  return { channel, lumen: 500, xy: [0.44, 0.4], maxCurrent: 0.7 };
}
