import { smoothLength } from './complex-fft.ts';
import { lruCache } from './lru-cache.ts';
import { realFft } from './real-fft.ts';
import { type Sampled, type Samples, sampleAt, valueAt } from './samples.ts';
import { type WindowName, windowFunction } from './window-function.ts';

/**
 * A record's spectrum, scaled so that the power of a tone's main lobe, summed over its bins, is the square of the
 * tone's amplitude whatever lies between the bins (Parseval); white noise of variance s² stands at 4 s²/length.
 */
export interface PowerSpectrum {
  /** Power per bin, unit². */
  readonly power: Float64Array;
  /** Mean of the record, weighted by the window: free of what a cut-off period adds to a plain mean. */
  readonly mean: number;
  /** Width of a bin, Hz. */
  readonly step: number;
  /** Samples of one segment. */
  readonly length: number;
  /** Segments averaged. */
  readonly segments: number;
  readonly window: WindowName;
}

/** Segments last about this long, s: fine enough for every flicker line, short enough that drifting mains stays one line. */
export const segmentTime = 10;

/**
 * Averaged power spectrum (Welch) with the mean and the slope of each segment removed (the slope is drift). A record up to one and a half segments long
 * is taken as a whole, but for the few samples beyond the nearest length with small prime factors.
 *
 * @param segment length of a segment, s; Infinity for one segment
 * Source: Welch, IEEE Trans. Audio Electroacoustics 15(2), 1967.
 */
export function powerSpectrum(
  { samples, rate }: Sampled,
  segment: number = segmentTime,
  window: WindowName = 'blackman-harris',
): PowerSpectrum {
  const whole = samples.length <= 1.5 * segment * rate;
  const length = smoothLength(whole ? samples.length : segment * rate, 2);
  if (length < 2) throw new RangeError('A spectrum needs at least two samples.');
  const segments = whole ? 1 : Math.round(samples.length / length);
  const hop = segments > 1 ? (samples.length - length) / (segments - 1) : 0;
  const { fft, part, weighting } = toolsFor(length, window);
  const { weights, power: gain, coherentGain } = weighting;
  const power = new Float64Array(fft.bins);
  let level = 0;
  for (let s = 0; s < segments; s++) {
    const first = Math.floor(s * hop);
    const { mean, slope } = straightLine(samples, first, length);
    const begin = mean - (slope * (length - 1)) / 2;
    putWeighted(part, samples, first, { begin, slope }, weights);
    const { re, im } = fft.forward(part);
    level += mean + valueAt(re, 0) / (length * coherentGain);
    addSquares(power, re, im);
  }
  multiply(power, 4 / (length * length * gain * segments));
  return { power, mean: level / segments, step: rate / length, length, segments, window };
}

// One loop a function: several long loops in one are compiled anew for each of them.

function putWeighted(
  part: Float64Array,
  samples: Samples,
  first: number,
  { begin, slope }: { readonly begin: number; readonly slope: number },
  weights: Float64Array,
): void {
  for (let k = 0; k < part.length; k++) {
    part[k] = (sampleAt(samples, first + k) - begin - slope * k) * valueAt(weights, k);
  }
}

function addSquares(power: Float64Array, re: Float64Array, im: Float64Array): void {
  for (let k = 0; k < power.length; k++) {
    const a = re[k]!;
    const b = im[k]!;
    power[k] = power[k]! + (a * a + b * b);
  }
}

function multiply(values: Float64Array, factor: number): void {
  for (let k = 0; k < values.length; k++) values[k] = valueAt(values, k) * factor;
}

/** Least-squares line through a part of a record: its middle and its slope per sample. */
function straightLine(
  samples: Samples,
  first: number,
  length: number,
): { mean: number; slope: number } {
  const middle = (length - 1) / 2;
  let sum = 0;
  let moment = 0;
  for (let k = 0; k < length; k++) {
    const value = sampleAt(samples, first + k);
    sum += value;
    moment += value * (k - middle);
  }
  return { mean: sum / length, slope: (12 * moment) / (length * (length * length - 1)) };
}

/** Twiddle factors, window and scratch memory: the uncertainty budget transforms one length many times over. */
const toolsFor = lruCache(4, (length: number, window: WindowName) => ({
  fft: realFft(length),
  part: new Float64Array(length),
  weighting: windowFunction(window, length),
}));
