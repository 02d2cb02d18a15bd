import { memoiseSamples } from '../signal/memoise.ts';
import { sampleAt, valueAt } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';
import type { HannTrack } from './hann-track.ts';
import { linearFigures } from './linear-figures.ts';
import { clockOf, lengthOf, samplesWithin } from './waveform-part.ts';

/** Plain means of a waveform over time, in its unit. */
export interface MeanTrack extends HannTrack {
  /** Part of a stretch of `width` that the nearest mean may miss at most: half of the way to the next one. */
  readonly missed: number;
}

/** A mean every `width / perWidth` seconds, each over `width`, after rounding to whole samples; all inside the waveform and [from, to]. */
export function meanTrack(
  waveform: Waveform,
  { from, to }: { readonly from: number; readonly to: number },
  width: number,
  perWidth: number,
): MeanTrack {
  const { rate, start } = waveform;
  const clock = clockOf(waveform);
  const count = Math.max(1, Math.round(width * clock.rate));
  const stride = Math.max(1, Math.floor(count / perWidth));
  const within = samplesWithin({ ...clock, length: lengthOf(waveform) }, from, to);
  const { first } = within;
  const last = within.last - count;
  const places = Math.max(0, Math.floor((last - first) / stride) + 1);
  const values = linearFigures(
    waveform,
    ({ samples }) => slidingMeans(samples, first, places, count, stride),
    movedMeans,
  );
  const times = new Float64Array(values.length);
  for (let k = 0; k < times.length; k++) times[k] = start + (first + k * stride + count / 2) / rate;
  return { times, values, width: count / rate, missed: stride / (2 * count) };
}

function movedMeans(means: Float64Array, gain: number, offset: number): Float64Array {
  const moved = new Float64Array(means.length);
  for (let k = 0; k < moved.length; k++) moved[k] = valueAt(means, k) * gain + offset;
  return moved;
}

const slidingMeans = memoiseSamples(
  (samples, first: number, places: number, count: number, stride: number): Float64Array => {
    // Sums of blocks of one stride, and what is left of a mean behind the last whole one: no running sum loses digits.
    const whole = Math.floor(count / stride);
    const blocks = new Float64Array(places + whole);
    for (let block = 0; block < blocks.length; block++) {
      const begin = first + block * stride;
      const end = Math.min(begin + stride, samples.length);
      let sum = 0;
      for (let k = begin; k < end; k++) sum += sampleAt(samples, k);
      blocks[block] = sum;
    }
    const means = new Float64Array(places);
    for (let place = 0; place < places; place++) {
      let sum = 0;
      for (let block = place; block < place + whole; block++) sum += valueAt(blocks, block);
      const begin = first + place * stride;
      for (let k = begin + whole * stride; k < begin + count; k++) sum += sampleAt(samples, k);
      means[place] = sum / count;
    }
    return means;
  },
);
