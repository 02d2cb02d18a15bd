import type { UnitSymbol } from '../units/unit.ts';
import type { Evidence } from './evidence.ts';

/** Why a record does not yield a quantity: a closed list. */
export type Reason =
  | 'no-record' // the signal that the metric reads was not captured
  | 'empty' // no samples in the window
  | 'not-finite' // NaN or infinity among the samples
  | 'negative-light' // light below zero by more than noise explains
  | 'saturated' // samples on the end of the converter's range
  | 'too-short' // record shorter than the metric needs
  | 'too-slow' // sampling rate below the metric's need
  | 'too-narrow' // sensor bandwidth below the metric's need
  | 'below-noise' // the quantity is smaller than the noise it hides in
  | 'dark' // no light to relate the quantity to
  | 'no-periodicity' // nothing periodic found where a period is needed
  | 'no-fade' // no change, or not one single fade, in the window
  | 'not-a-straight-fade' // a fade that no straight line in the dimming-curve domain describes
  | 'no-edge' // no edge found
  | 'no-plateau' // the record does not settle before or after
  | 'no-reference' // the reference window is missing or dark
  | 'no-zero' // nobody has stated how well the zero of the input is known
  | 'off-locus' // chromaticity too far from the Planckian locus
  | 'out-of-domain' // the standard does not define the quantity here
  | 'untold' // the firmware did not tell it
  | 'untimed' // it may be that the bench was late
  | 'unresolved'; // features are there but closer together than the record resolves

/** A quantity with everything that its uncertainty needs. */
export interface Measured {
  readonly measured: true;
  /** In the metric's SI unit. */
  readonly value: number;
  /** Standard uncertainties (k = 1) that the metric itself knows of, in the metric's unit (e.g. the fit's). */
  readonly contributions: readonly Contribution[];
  /**
   * The least that this record would have shown, in the metric's unit, 95 % bound: its length, rate, codes and noise may
   * hide anything smaller. Absent where nothing can hide: signed quantities, exact counts.
   */
  readonly floor?: number;
  /** Of a distance in u'v': the way from the target to the colour, with what the metric itself knows of its uncertainty. */
  readonly way?: UvWay;
  readonly evidence: Evidence;
}

/** In CIE 1976 u' and v'. */
export interface UvWay {
  readonly u: number;
  readonly v: number;
  /** Variances of both, and what they share. */
  readonly covariance: { readonly first: number; readonly second: number; readonly shared: number };
}

export interface Contribution {
  /** E.g. `fit residual`, `bin width`, `scale of input ch1`. */
  readonly name: string;
  /** Standard uncertainty in the metric's unit, k = 1. */
  readonly standard: number;
  /** It is the scatter that noise from sample to sample makes; everything else is systematic or of unknown kind. */
  readonly isNoise?: boolean;
  /** Factor in `standard` that makes up for few observations, such as Student's over the normal distribution's; absent where there is none. */
  readonly allowance?: number;
}

export interface NotMeasurable {
  readonly measured: false;
  readonly reason: Reason;
  /** What was found and what would be enough, both in `unit`, where the reason is about a figure. */
  readonly found?: number;
  readonly needed?: number;
  readonly unit?: UnitSymbol;
  /** One more fact in words, e.g. which channel. */
  readonly note?: string;
}

export type Outcome = Measured | NotMeasurable;

export const noEvidence: Evidence = { charts: [], notes: {} };

export function measured(
  value: number,
  evidence: Evidence = noEvidence,
  contributions: readonly Contribution[] = [],
  floor?: number,
): Measured {
  return {
    measured: true,
    value,
    contributions,
    evidence,
    ...(floor === undefined ? {} : { floor }),
  };
}

export function notMeasurable(
  reason: Reason,
  facts: Omit<NotMeasurable, 'measured' | 'reason'> = {},
): NotMeasurable {
  return { measured: false, reason, ...facts };
}

/** Tells what was found from why nothing could be. */
export function isMeasurable<T extends object>(found: T | NotMeasurable): found is T {
  return !('measured' in found);
}
