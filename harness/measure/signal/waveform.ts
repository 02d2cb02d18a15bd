import type { UnitSymbol } from '../../units/unit.ts';

/** A uniformly sampled record in SI units. The sample k covers [start + k/rate, start + (k+1)/rate). */
export interface Waveform {
  /** Values in `unit`, one per sample. */
  readonly samples: Float32Array | Float64Array;
  /** Sampling rate, Hz. There is no default: a record without a rate is not a waveform. */
  readonly rate: number;
  /** Start of the first sample on the condition's own time line, s. */
  readonly start: number;
  readonly unit: UnitSymbol;
  /** How many samples sit on either end of the converter's range. */
  readonly clipped: number;
  /** The converter's range in `unit`, where it is known. */
  readonly range?: { readonly low: number; readonly high: number };
  /** -3 dB bandwidth of the sensor and its amplifier, Hz, where it is known. */
  readonly bandwidth?: number;
  /** Quantisation step of the converter in `unit`, where it is known. */
  readonly step?: number;
}

/** Length of the record, s. */
export function duration(waveform: Waveform): number {
  return waveform.samples.length / waveform.rate;
}

/** The part of a waveform that lies wholly inside [from, to) s; shares memory with the original. */
export function windowed(waveform: Waveform, from: number, to: number): Waveform {
  const { samples, rate, start } = waveform;
  // A sample on the edge belongs to the window when rounding alone put it outside.
  const first = Math.min(samples.length, Math.max(0, Math.ceil((from - start) * rate - 1e-6)));
  const last = Math.max(first, Math.min(samples.length, Math.floor((to - start) * rate + 1e-6)));
  if (first === 0 && last === samples.length) return waveform;
  const part = samples.subarray(first, last);
  return {
    ...waveform,
    samples: part,
    start: start + first / rate,
    clipped: countClipped(part, waveform),
  };
}

function countClipped(part: Float32Array | Float64Array, { range, clipped }: Waveform): number {
  if (clipped === 0 || !range) return clipped === 0 ? 0 : Math.min(clipped, part.length);
  let count = 0;
  for (const value of part) if (value <= range.low || value >= range.high) count++;
  return count;
}
