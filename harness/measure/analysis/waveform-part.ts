import { memoise } from '../signal/memoise.ts';
import type { Samples } from '../signal/samples.ts';
import type { Sampling, Waveform } from '../waveform.ts';
import { type DisturbedWaveform, disturbedWaveform, isDisturbed } from './disturbed-waveform.ts';

/** How many samples there are; says it without computing those of a disturbed waveform. */
export function lengthOf(waveform: Waveform): number {
  return (isDisturbed(waveform) ? waveform.recorded : waveform).samples.length;
}

/** Length of the record, s. */
export function duration(waveform: Waveform): number {
  return lengthOf(waveform) / waveform.rate;
}

export function samplingOf(waveform: Waveform): Sampling {
  const { rate, start, bandwidth } = waveform;
  const length = lengthOf(waveform);
  return { rate, start, length, ...(bandwidth !== undefined && { bandwidth }) };
}

/** Where windows begin and end in a record: at these samples, were its clock right. */
export type Clock = Pick<Sampling, 'rate' | 'start'>;

const clocks = new WeakMap<Waveform, Clock>();

/**
 * The waveform as it would have been with a sampling interval `stretch` times as long. Windows hold the samples that they held: a clock
 * that is off by a few parts in a million moves their edges by a part of a sample, and one sample more or less at an edge is a
 * draw of the noise, no error of the clock. So what was computed of those samples need not be computed again.
 */
export function stretched(waveform: Waveform, stretch: number): Waveform {
  return onClock({ ...waveform, rate: waveform.rate / stretch }, clockOf(waveform));
}

/** Places of a waveform's samples are counted by this. */
export function clockOf(waveform: Waveform): Clock {
  if (isDisturbed(waveform)) return clockOf(waveform.recorded);
  return clocks.get(waveform) ?? waveform;
}

function onClock(waveform: Waveform, { rate, start }: Clock): Waveform {
  clocks.set(waveform, { rate, start });
  return waveform;
}

/** The part of a waveform that lies wholly inside [from, to) s; shares memory with the original. */
export function windowed(waveform: Waveform, from: number, to: number): Waveform {
  const length = lengthOf(waveform);
  const { first, last } = samplesWithin({ ...clockOf(waveform), length }, from, to);
  return cut(waveform, first, last);
}

/** Places first … last - 1 of the samples that lie wholly inside [from, to) s. */
export function samplesWithin(
  { rate, start, length }: Pick<Sampling, 'rate' | 'start' | 'length'>,
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
  if (isDisturbed(waveform)) return cutDisturbed(waveform, first, last);
  const samples = waveform.samples.subarray(first, last);
  const part: Waveform = {
    ...waveform,
    samples,
    start: waveform.start + first / waveform.rate,
    clipped: countClipped(samples, waveform),
  };
  const clock = clocks.get(waveform);
  return clock ? onClock(part, { ...clock, start: clock.start + first / clock.rate }) : part;
}

/** The same part is the same waveform, whose samples are computed once. */
const cutDisturbed = memoise(
  ({ recorded, error }: DisturbedWaveform, first: number, last: number): Waveform =>
    disturbedWaveform(cut(recorded, first, last), error),
);

function countClipped(samples: Samples, { range, clipped }: Waveform): number {
  if (clipped === 0 || !range) return Math.min(clipped, samples.length);
  let count = 0;
  for (const value of samples) if (value <= range.low || value >= range.high) count++;
  return count;
}
