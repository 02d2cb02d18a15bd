import type { DarkNoise } from '../measure/dark-noise.ts';
import type { Metric } from '../measure/metric.ts';
import type { CaptureId, Observation } from '../measure/observation.ts';
import type { Contribution, Measured, NotMeasurable } from '../measure/outcome.ts';
import type { Signal } from '../measure/signals.ts';

/** What is known of the way from the terminals to the number, per capture. Standard uncertainties, k = 1. */
export interface InputCalibration {
  readonly capture: CaptureId;
  readonly signal: Signal;
  readonly of: string;
  /** Relative. */
  readonly standardScale: number;
  /** What adds to it beside the certificate, by name: relative. `linearity` is that of a small signal against full scale. */
  readonly budget?: Readonly<Record<string, number | undefined>>;
  /** In the record's unit. */
  readonly fullScale?: number;
  /** In the record's unit; 0 where the zero is exact, absent where nobody has stated how well it is known. */
  readonly standardOffset?: number;
  /** rms noise of one sample, in the record's unit; absent where it has to be told from the record. */
  readonly noise?: number;
  /** The rest of what the dark wiring records; absent where nobody has recorded it. */
  readonly dark?: DarkNoise;
  /** Relative. */
  readonly timeBase: number;
  /** Quantisation step in the record's unit. */
  readonly step: number;
  /** Inputs with the same name share one error (one sensor, one clock): they are moved together. */
  readonly sharedScale?: string;
  readonly sharedTimeBase?: string;
  /** Of the record's start, s; absent where it is known. */
  readonly standardStart?: number;
  /** Records with the same name began together. */
  readonly sharedStart?: string;
}

export type Assessed = Refused | Assessment;

export interface Refused {
  readonly outcome: NotMeasurable;
  /** The captures that the metric read before it refused, in the order of the observation. */
  readonly captures: readonly CaptureId[];
}

export interface Assessment {
  readonly outcome: Measured;
  /** The captures that the metric read, in the order of the observation. */
  readonly captures: readonly CaptureId[];
  /** U = k * u_c, in the metric's unit. */
  readonly expanded: number;
  readonly contributions: readonly Contribution[];
}

/** Would the verdict be the same however much closer the noise were looked at? Value and U in the metric's unit. */
export type IsSettled = (value: number, expanded: number) => boolean;

export type Assess = (
  metric: Metric,
  observation: Observation,
  calibration: readonly InputCalibration[],
  coverageFactor: number,
  /** Ends the realisations of the noise early; never by default. */
  settled?: IsSettled,
) => Assessed;
