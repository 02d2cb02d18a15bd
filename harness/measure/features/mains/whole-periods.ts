import { edges } from '../../signal/edges.ts';
import type { Waveform } from '../../waveform.ts';

/** A whole number of periods of an alternating quantity. */
export interface WholePeriods {
  /** Instants between which they lie, s. */
  readonly from: number;
  readonly to: number;
  readonly count: number;
  readonly frequency: number;
}

/** Crossings of zero count when the waveform goes on beyond this part of its largest value. */
const hysteresis = 0.2;

/**
 * Whole periods between the first and the last rising zero crossing, each placed between two samples by straight
 * line. Null with fewer than two crossings: nothing alternates.
 */
export function wholePeriods(waveform: Waveform): WholePeriods | null {
  let largest = 0;
  for (const value of waveform.samples) largest = Math.max(largest, Math.abs(value));
  const rising = edges(waveform, 0, hysteresis * largest).filter((edge) => edge.rising);
  const first = rising[0];
  const last = rising.at(-1);
  if (!first || !last || first === last) return null;
  const count = rising.length - 1;
  return { from: first.at, to: last.at, count, frequency: count / (last.at - first.at) };
}

/**
 * Weights of the samples that [from, to] covers: 1 inside, a part for the first and the last, so that the periods
 * are whole whatever the sampling rate.
 */
export function forEachCovered(
  { rate, start, samples }: Waveform,
  { from, to }: Pick<WholePeriods, 'from' | 'to'>,
  visit: (index: number, weight: number) => void,
): void {
  const begin = (from - start) * rate;
  const end = (to - start) * rate;
  const last = Math.min(samples.length - 1, Math.ceil(end) - 1);
  for (let index = Math.max(0, Math.floor(begin)); index <= last; index++) {
    const weight = Math.min(index + 1, end) - Math.max(index, begin);
    if (weight > 0) visit(index, weight);
  }
}
