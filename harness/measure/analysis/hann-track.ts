import { hannWeights } from '../signal/hann.ts';
import { memoiseSamples } from '../signal/memoise.ts';
import { sampleAt, valueAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';
import { blockwiseTrack, type TrackLayout } from './blockwise-track.ts';
import { isDisturbed } from './disturbed-waveform.ts';
import { clockOf, lengthOf, samplesWithin } from './waveform-part.ts';

/** Hann-weighted means of a waveform over time, in its unit. */
export interface HannTrack {
  /** Middle of each window, s. */
  readonly times: Float64Array;
  readonly values: Float64Array;
  /** Width of the window, s, after rounding to whole samples (whole steps, where windows overlap). */
  readonly width: number;
}

/** A mean every `step` seconds, each over `width`, all windows inside the waveform and [from, to]. */
export function hannTrack(
  waveform: Waveform,
  { from, to }: { readonly from: number; readonly to: number },
  width: number,
  step: number,
): HannTrack {
  const { rate, start } = waveform;
  const clock = clockOf(waveform);
  const stride = Math.max(1, Math.round(step * clock.rate));
  const wanted = Math.max(1, Math.round(width * clock.rate));
  const count = wanted >= 2 * stride ? Math.round(wanted / stride) * stride : wanted;
  const within = samplesWithin({ ...clock, length: lengthOf(waveform) }, from, to);
  const { first } = within;
  const last = within.last - count;
  const windows = Math.max(0, Math.floor((last - first) / stride) + 1);
  const values =
    count % stride === 0 && count > stride
      ? blockwiseTrack(waveform, { first, windows, count, stride })
      : singleTrack(waveform, { first, windows, count, stride });
  const times = values.map((_, k) => start + (first + k * stride + count / 2) / rate);
  return { times, values, width: count / rate };
}

/** Windows that overlap little or not at all, each summed by itself. */
function singleTrack(waveform: Waveform, layout: TrackLayout): Float64Array {
  if (isDisturbed(waveform) && !waveform.error.noise) {
    const { gain, offset } = waveform.error;
    return singleTrack(waveform.recorded, layout).map((value) => value * gain + offset);
  }
  const { first, windows, count, stride } = layout;
  return weightedSums(waveform.samples, first, windows, count, stride);
}

const weightedSums = memoiseSamples(
  (samples, first: number, windows: number, count: number, stride: number): Float64Array => {
    const weights = hannWeights(count);
    return new Float64Array(windows).map((_, k) => {
      const begin = first + k * stride;
      let sum = 0;
      for (let index = 0; index < count; index++)
        sum += valueAt(weights, index) * sampleAt(samples, begin + index);
      return sum;
    });
  },
);
