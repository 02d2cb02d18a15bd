import type { Dimension, UnitSymbol } from '../units/unit.ts';
import type { Observation } from './observation.ts';
import type { Outcome } from './outcome.ts';
import type { Signal } from './signals.ts';

/** One parameter of a metric, as a spec may set it beside `metric:`. */
export interface Parameter {
  readonly name: string;
  /** Dimension of a number, or the list of words that are allowed. */
  readonly kind: Dimension | readonly string[];
  /** SI value or word that holds when the spec says nothing. `null`: the spec must say it. */
  readonly default: number | string | null;
  readonly about: string;
}

/** What a record must offer before the metric can stand behind a number; preflight reads it too. */
export interface Need {
  /** The signals that the metric can work on, the preferred first; none where it needs no record. */
  readonly signals: readonly Signal[];
  /** One waveform (`one`), or every channel's at once (`all-channels`). */
  readonly scope: 'one' | 'all-channels';
  /** Lowest sampling rate, Hz. */
  readonly rate?: number;
  /** Shortest record, s. */
  readonly duration?: number;
  /** Highest frequency of the light that has to be seen, Hz (bandwidth of sensor, anti-alias filter). */
  readonly bandwidth?: number;
  /** The window must hold exactly one fade of the subject. */
  readonly fade?: boolean;
  /** The criterion must name a reference window (`reference:`). */
  readonly reference?: boolean;
  /** It must be known how far the input's zero may be off: at low level it moves a ratio of levels by any amount. */
  readonly zero?: boolean;
  /** Its subject is a variable that the firmware tells, and no record. */
  readonly probe?: boolean;
  /** It must be known what was sent to the lamp: the metric holds the lamp against a model of it. */
  readonly model?: boolean;
}

/** A quantity computed from captures. One file each; `metrics.ts` lists them. */
export interface Metric {
  /** Kebab-case id, as a spec writes it. */
  readonly id: string;
  readonly title: string;
  readonly family:
    | 'level'
    | 'fade'
    | 'colour'
    | 'flicker'
    | 'camera'
    | 'current'
    | 'mains'
    | 'control';
  /** Unit of the value. Percentages are stored as ratios (unit `1`) and shown in `shown`. */
  readonly unit: UnitSymbol;
  readonly dimension: Dimension;
  /** Unit for people, e.g. `%` for a ratio, `ms` for a time. */
  readonly shown: UnitSymbol;
  readonly needs: Need;
  readonly parameters: readonly Parameter[];
  /** What of the parameters belongs to the title wherever a value is printed, e.g. `scale 1.1016e6`. */
  readonly qualifier?: (parameters: Observation['parameters']) => string;
  /** Key into SOURCES.md, with edition and clause. */
  readonly source: string;
  /** Calibration inputs that cannot move the value (a ratio ignores the scale). Saves their sensitivity runs. */
  readonly blindTo?: readonly CalibrationInput[];
  /**
   * The metric's own contributions hold all that white noise, and rounding that differs from sample to sample, do to the
   * value: they come from the scatter of the very record. No realisations of the noise are computed for it.
   */
  readonly statesNoise?: boolean;
  /**
   * A fixed property of the lamp, and noise moves the value both ways about it: the mean of several measurements is a better
   * value than one. Never an extreme, a count, a spread, a distance, or a time that the lamp takes to react: what happens in
   * one measurement of these has happened, and the worst of several counts.
   */
  readonly averages?: boolean;
  /** Pure: same observation, same outcome. Never throws on data; says `NotMeasurable` instead. */
  compute(observation: Observation, options?: ComputeOptions): Outcome;
}

export type CalibrationInput = 'scale' | 'offset' | 'time-base' | 'noise' | 'quantisation';

export interface ComputeOptions {
  /** Charts and notes are wanted (off for the many runs of the uncertainty budget). Default true. */
  readonly evidence?: boolean;
}
