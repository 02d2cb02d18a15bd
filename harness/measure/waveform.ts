import type { UnitSymbol } from '../units/unit.ts';
import { changedWaveform, originOf } from './analysis/disturbed-waveform.ts';

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

export function samplingOf(waveform: Waveform): Sampling {
  const { rate, start, bandwidth } = waveform;
  const length = lengthOf(waveform);
  return { rate, start, length, ...(bandwidth !== undefined && { bandwidth }) };
}

/** How many samples there are; says it without computing the samples of a changed waveform. */
export function lengthOf(waveform: Waveform): number {
  return (originOf(waveform)?.waveform ?? waveform).samples.length;
}

/** Length of the record, s. */
export function duration(waveform: Waveform): number {
  return lengthOf(waveform) / waveform.rate;
}

/** The part of a waveform that lies wholly inside [from, to) s; shares memory with the original. */
export function windowed(waveform: Waveform, from: number, to: number): Waveform {
  const { first, last } = samplesWithin(samplingOf(waveform), from, to);
  return cut(waveform, first, last);
}

/** Places first … last - 1 of the samples that lie wholly inside [from, to) s. */
export function samplesWithin(
  { rate, start, length }: Sampling,
  from: number,
  to: number,
): { readonly first: number; readonly last: number } {
  // A sample on the edge belongs to the window when rounding alone put it outside.
  const first = Math.min(length, Math.max(0, Math.ceil((from - start) * rate - 1e-6)));
  const last = Math.max(first, Math.min(length, Math.floor((to - start) * rate + 1e-6)));
  return { first, last };
}

/** The samples first … last - 1 of a waveform; shares memory with the original. */
export function cut(waveform: Waveform, first: number, last: number): Waveform {
  if (first === 0 && last === lengthOf(waveform)) return waveform;
  const origin = originOf(waveform);
  if (origin) {
    const key = `${first} ${last}`;
    const known = origin.parts.get(key);
    if (known) return known;
    const part = changedWaveform(cut(origin.waveform, first, last), origin.change);
    origin.parts.set(key, part);
    return part;
  }
  const part = waveform.samples.subarray(first, last);
  return {
    ...waveform,
    samples: part,
    start: waveform.start + first / waveform.rate,
    clipped: countClipped(part, waveform),
  };
}

function countClipped(part: Float32Array | Float64Array, { range, clipped }: Waveform): number {
  if (clipped === 0 || !range) return clipped === 0 ? 0 : Math.min(clipped, part.length);
  let count = 0;
  for (const value of part) if (value <= range.low || value >= range.high) count++;
  return count;
}
