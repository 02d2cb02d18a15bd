import type { Need } from '../metric.ts';
import type { Observation, Window } from '../observation.ts';
import { isRecord, isSteady, windowOf } from '../observe.ts';
import type { NotMeasurable } from '../outcome.ts';
import { linearOriginOf } from '../signal/changed-waveform.ts';
import { keptWith } from '../signal/kept-with.ts';
import { cut, lengthOf, type Waveform } from '../signal/waveform.ts';
import { hannMean } from './hann-mean.ts';

/** Mean of the subject's record in a window, in the record's unit, and its standard uncertainty from scatter. */
export interface MeanLevel {
  readonly value: number;
  readonly standard: number;
}

/**
 * Mean level in a window. Where the command is steady the ends are tapered (Hann), which keeps pulse trains and a late
 * command at the window's ends from biasing it; where the command moves it is the plain mean.
 */
export function meanLevel(
  observation: Observation,
  need: Need,
  window: Window,
): MeanLevel | NotMeasurable {
  const part = windowOf(observation, need, window);
  if (!isRecord(part)) return part;
  if (!isSteady(observation, window)) return { value: plainMean(part), standard: 0 };
  const middle = Math.floor(lengthOf(part) / 2);
  const value = hannMean(part);
  if (middle < 8) return { value, standard: 0 };
  const one = hannMean(cut(part, 0, middle));
  const two = hannMean(cut(part, middle, lengthOf(part)));
  // Two independent halves differ by 2 sigma of their mean times sqrt(1/2) on average.
  return { value, standard: Math.abs(one - two) / 2 };
}

export function plainMean(waveform: Waveform): number {
  const origin = linearOriginOf(waveform);
  if (origin) return plainMean(origin.waveform) * origin.change.gain + origin.change.offset;
  const { samples } = waveform;
  return keptWith(samples, 'plain-mean', () => {
    let sum = 0;
    for (let index = 0; index < samples.length; index++) sum += samples[index]!;
    return sum / samples.length;
  });
}
