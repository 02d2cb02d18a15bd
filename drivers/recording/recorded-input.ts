import type { RawCapture } from '../../harness/bench/ports.ts';
import type { FileColumn } from '../../harness/files/waveform-file.ts';
import { siUnit, type UnitSymbol } from '../../harness/units/unit.ts';
import { findUnit } from '../../harness/units/unit-table.ts';

/** A record out of a file that stands in for one input of a digitiser. */
export interface RecordedInput {
  readonly input: string;
  readonly rate: number;
  readonly samples: number;
  /** The first `count` samples, as if taken from `start` on. */
  take(count: number, start: number): RawCapture;
}

/** Float32 holds 24 bits: codes of this size keep all of them and tell their step. */
const codeSpan = 2 ** 24;

/**
 * Turns a column into codes. Figures keep the unit that the file states (V where it states none): the rig's wiring
 * scales them as it would scale the instrument's.
 */
export function recordedInput(
  input: string,
  { samples, unit: stated, step }: FileColumn,
  rate: number,
): RecordedInput {
  const known = stated === null ? undefined : findUnit(stated);
  const unit: UnitSymbol = known ? siUnit[known.dimension] : 'V';
  const factor = known ? known.factor * 10 ** known.exponent : 1;
  const scale = step > 0 ? step : largest(samples) / codeSpan;
  // Samples of a WAV file lie within ±1, where its converter ended; an array of integers or figures does not say.
  const ends = step > 0 && step < 1 ? { lowest: -1 / step, highest: 1 / step - 1 } : outside;
  return {
    input,
    rate,
    samples: samples.length,
    take: (count, start) => ({
      input,
      codes: Float32Array.from(samples.subarray(0, count), (value) => value / scale),
      scale: scale * factor,
      offset: 0,
      unit,
      rate,
      start,
      ...ends,
    }),
  };
}

const outside = { lowest: Number.NEGATIVE_INFINITY, highest: Number.POSITIVE_INFINITY };

function largest(samples: FileColumn['samples']): number {
  let most = 0;
  for (const value of samples) if (Math.abs(value) > most) most = Math.abs(value);
  return most > 0 && Number.isFinite(most) ? most : 1;
}
