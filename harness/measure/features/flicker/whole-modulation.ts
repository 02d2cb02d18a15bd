import { type Contribution, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import type { LitRecord } from './lit-record.ts';

/** Modulation of a whole waveform. Ratios; `low` and `high` in the record's unit. */
export interface WholeModulation {
  readonly value: number;
  /** From the samples as they are. */
  readonly raw: number;
  readonly low: number;
  readonly high: number;
  /** The least modulation that the record would have shown: noise and rounding may hide this much. */
  readonly floor: number;
  readonly contributions: readonly Contribution[];
}

/** Part of the modulation that an unknown height of narrow pulses may change and the modulation still be told. */
const tolerable = 0.1;
/** How well the noise and so its correction is known, relative. */
const correctionKnown = 0.2;

/**
 * (high - low) / (high + low) of the extremes behind the noise; `high + low` is above zero in a lit record.
 * Not measurable: pulses of a single sample, whose height the record cannot show, unless it is dark between them.
 */
export function wholeModulation({
  waveform,
  analysis,
}: LitRecord): WholeModulation | NotMeasurable {
  const { statistics, extremes: found } = analysis;
  // Light has no negative values: what an offset or noise pushes below zero is darkness.
  const low = Math.max(0, found.low);
  const high = Math.max(low, found.high);
  const value = contrast(low, high);
  // M = (h - l)/(h + l): dM/dh = 2l/(h + l)², dM/dl = -2h/(h + l)².
  const square = (high + low) ** 2;
  const toHigh = (2 * low) / square;
  const toLow = (2 * high) / square;
  // A light between two codes flips between them: that is the converter's doing, and no pulse.
  const flips = high - low <= 2 * (waveform.step ?? 0);
  const unknown = (found.highAlone ? toHigh : 0) + (found.lowAlone ? toLow * (low / high) : 0);
  if (!flips && unknown * (high - low) > tolerable * value) {
    return notMeasurable('unresolved', {
      found: 1 / waveform.rate,
      unit: 's',
      note: 'pulses or gaps no longer than one sample: sample faster',
    });
  }
  const per = (toHighest: number, toLowest: number): number =>
    Math.hypot(toHigh * toHighest, toLow * toLowest);
  // Both ends of a smooth course lose alike. Below zero there is no light, however few samples a dark gap has.
  const between =
    toHigh * found.highBetween + toLow * Math.min(found.lowBetween, low / Math.sqrt(3));
  const correction = correctionKnown * per(found.highCorrection, found.lowCorrection);
  const step = waveform.step ?? 0;
  // The worst case of both ends, since a clean record has no chance to even it out.
  const rounding = ((toHigh + toLow) * step) / Math.sqrt(12);
  return {
    value,
    raw: contrast(statistics.lowest, statistics.highest),
    low,
    high,
    // A code holds light that swings by a whole step, half of it to either side of its mean.
    floor: step / 2 / statistics.mean + 2 * correction,
    contributions: [
      { name: 'peaks between samples', standard: between },
      { name: 'noise correction', standard: correction },
      ...(step > 0 ? [{ name: 'rounding of the extremes', standard: rounding }] : []),
    ],
  };
}

function contrast(low: number, high: number): number {
  return (high - low) / (high + low);
}
