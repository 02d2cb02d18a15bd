import { deviates } from '../signal/deviates.ts';
import { keptWith } from '../signal/memoise.ts';
import { lengthOf, type Waveform } from '../waveform.ts';
import { blockwiseTrack, type TrackLayout } from './blockwise-track.ts';
import { linearOriginOf, type Noise, originOf, placeOf } from './disturbed-waveform.ts';

/**
 * Means of a waveform weighted by a Hann window. A plain mean over a stretch that cuts a pulse train anywhere is
 * wrong by up to one pulse; tapered ends make the error fall with the third power of the number of pulses, so that
 * the few pulses of a lamp at its bottom level are enough.
 * Inputs: waveform in any unit; centre, width, step in s. Output in the waveform's unit.
 * Source: window functions, textbook knowledge; the properties are computed in the tests.
 */
export interface HannTrack {
  /** Middle of each window, s. */
  readonly times: readonly number[];
  readonly values: readonly number[];
  /** Width of the window, s, after rounding to whole samples (whole steps, where windows overlap). */
  readonly width: number;
}

/** White noise of one sample times this / sqrt(samples in the window) is the noise of the mean. */
export const hannNoise = Math.sqrt(1.5);

/** Weights of `count` samples, sum 1. A window of one sample is that sample. */
export function hannWeights(count: number): Float64Array {
  const weights = new Float64Array(count);
  for (let index = 0; index < count; index++) {
    weights[index] = (1 - Math.cos((2 * Math.PI * (index + 0.5)) / count)) / count;
  }
  if (count === 1) weights[0] = 1;
  return weights;
}

/**
 * Hann-weighted mean over the whole of a (windowed) waveform; NaN when it is empty. Noise that was added to a record
 * moves the mean by what it does to a mean of so many samples; means of two stretches are moved independently.
 */
export function hannMean(waveform: Waveform): number {
  const origin = originOf(waveform);
  if (origin) {
    const { gain, offset, noise } = origin.change;
    const mean = hannMean(origin.waveform) * gain + offset;
    return noise ? mean + noiseOfMean(origin.waveform, noise) : mean;
  }
  const { samples } = waveform;
  return keptWith(samples, 'hann-mean', () => weightedMean(samples));
}

function noiseOfMean({ samples }: Waveform, { standard, seed }: Noise): number {
  const count = samples.length;
  const drawn = deviates(1, seed ^ Math.imul(count, 0x9e3779b1), placeOf(samples));
  return count === 0 ? 0 : (count === 1 ? 1 : hannNoise / Math.sqrt(count)) * standard * drawn[0]!;
}

/** Samples after which the turning of the angle is set right again. */
const turns = 512;

/** The sum of weights times samples, the weights' cosine turned on from sample to sample. */
function weightedMean(samples: Waveform['samples']): number {
  const count = samples.length;
  if (count < 2) return count === 1 ? samples[0]! : Number.NaN;
  const step = (2 * Math.PI) / count;
  const cosStep = Math.cos(step);
  const sinStep = Math.sin(step);
  let plain = 0;
  let turned = 0;
  for (let first = 0; first < count; first += turns) {
    const last = Math.min(count, first + turns);
    let cos = Math.cos(step * (first + 0.5));
    let sin = Math.sin(step * (first + 0.5));
    for (let index = first; index < last; index++) {
      const value = samples[index]!;
      plain += value;
      turned += value * cos;
      const next = cos * cosStep - sin * sinStep;
      sin = sin * cosStep + cos * sinStep;
      cos = next;
    }
  }
  return (plain - turned) / count;
}

/** A mean every `step` seconds, each over `width`, all windows inside the waveform and [from, to]. */
export function hannTrack(
  waveform: Waveform,
  { from, to }: { readonly from: number; readonly to: number },
  width: number,
  step: number,
): HannTrack {
  const { rate, start } = waveform;
  const stride = Math.max(1, Math.round(step * rate));
  const wanted = Math.max(1, Math.round(width * rate));
  const count = wanted >= 2 * stride ? Math.round(wanted / stride) * stride : wanted;
  const first = Math.max(0, Math.ceil((from - start) * rate - 1e-6));
  const last = Math.min(lengthOf(waveform), Math.floor((to - start) * rate + 1e-6)) - count;
  const windows = Math.max(0, Math.floor((last - first) / stride) + 1);
  const values =
    count % stride === 0 && count > stride
      ? blockwiseTrack(waveform, { first, windows, count, stride })
      : singleTrack(waveform, { first, windows, count, stride });
  const times = Array.from(values, (_, k) => start + (first + k * stride + count / 2) / rate);
  return { times, values, width: count / rate };
}

/** Windows that overlap little or not at all, each summed by itself. */
function singleTrack(waveform: Waveform, layout: TrackLayout): readonly number[] {
  const origin = linearOriginOf(waveform);
  if (origin) {
    const { gain, offset } = origin.change;
    return singleTrack(origin.waveform, layout).map((value) => value * gain + offset);
  }
  const { samples } = waveform;
  const { first, windows, count, stride } = layout;
  return keptWith(samples, `track ${first} ${windows} ${count} ${stride}`, () => {
    const weights = hannWeights(count);
    return Array.from({ length: windows }, (_, k) => {
      const begin = first + k * stride;
      let sum = 0;
      for (let index = 0; index < count; index++) sum += weights[index]! * samples[begin + index]!;
      return sum;
    });
  });
}

/** The model's mean under the same window: a function of time averaged around `at` (s), by quadrature. */
export function hannModel(model: (at: number) => number, at: number, width: number): number {
  let sum = 0;
  for (let index = 0; index < nodes; index++) {
    sum += quadrature[index]! * model(at + ((index + 0.5) / nodes - 0.5) * width);
  }
  return sum;
}

const nodes = 32;
const quadrature = hannWeights(nodes);
