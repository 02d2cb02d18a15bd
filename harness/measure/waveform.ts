import type { UnitSymbol } from '../units/unit.ts';
import type { DarkNoise } from './dark-noise.ts';
import type { Timed } from './signal/samples.ts';

/**
 * A uniformly sampled record in SI units. The sample k covers [start + k/rate, start + (k+1)/rate), rate in Hz, start in s
 * on the condition's own time line. There is no default rate: a record without one is not a waveform.
 */
export interface Waveform extends Timed {
  /** Of the samples. */
  readonly unit: UnitSymbol;
  /** How many samples sit on either end of the converter's range. */
  readonly clipped: number;
  /** The converter's range in `unit`, where it is known. */
  readonly range?: { readonly low: number; readonly high: number };
  /** -3 dB bandwidth of the sensor and its amplifier, Hz, where it is known. */
  readonly bandwidth?: number;
  /** Quantisation step of the converter in `unit`, where it is known. */
  readonly step?: number;
  /** Its samples are means over the time that each covers, and no instants. */
  readonly means?: true;
  /** Errors that the budget drew were added: light below zero is theirs, not the record's. */
  readonly drawn?: boolean;
  /** What the dark wiring was found to record, in `unit`, where somebody has recorded it. */
  readonly dark?: DarkNoise;
}

/** How a record was sampled: what is known of it without reading a sample. */
export interface Sampling {
  /** Hz. */
  readonly rate: number;
  /** Start of the first sample, s. */
  readonly start: number;
  /** How many samples there are. */
  readonly length: number;
  /** -3 dB bandwidth of the sensor and its amplifier, Hz, where it is known. */
  readonly bandwidth?: number;
}

/** The time that a record covers, s. */
export function spanOf({ rate, start, length }: Sampling): {
  readonly from: number;
  readonly to: number;
} {
  return { from: start, to: start + length / rate };
}
