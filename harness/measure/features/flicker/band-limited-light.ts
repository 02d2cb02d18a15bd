import { analysisOf } from '../../analysis/analysis.ts';
import { linearFigures } from '../../analysis/linear-figures.ts';
import { lengthOf } from '../../analysis/waveform-part.ts';
import { largestOfNormals } from '../../signal/largest-of-normals.ts';
import { type Course, pointsPerPeriod } from '../../signal/low-pass.ts';
import { indexAt, valueAt } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';
import { addTone, type Tone } from '../../signal/tone.ts';
import { withoutTones } from '../../signal/without-tones.ts';
import { type Component, componentsOf } from './components.ts';
import type { LitRecord } from './lit-record.ts';

/** Light of which only what is slower than a cut-off is left. */
export interface BandLimited {
  readonly course: Course;
  /** (max - min) / (max + min), less what noise adds to the extremes. */
  readonly modulation: number;
  readonly low: number;
  readonly high: number;
  /** What was taken off for the noise. */
  readonly correction: number;
  /** The same without tones whose frequency cannot be told from the cut-off; those are kept. */
  readonly without: number;
  /** What of those may be several tones that the record does not tell apart, relative to the mean. */
  readonly merged: number;
  /** The same without the record's ends, where the filter looks beyond what was recorded. */
  readonly within: number;
}

/** Tones up to so many cut-offs are taken out of the record by fits: a filter would smear them over its ends. */
const farthest = 8;
const mostTones = 40;
/** Slower ones, in bins, pass the filter whole; fits of half the record would not tell them apart. */
const slowest = 16;
/** Standard uncertainties, or half-widths of the record's resolution, within which a frequency counts as the cut-off's own. */
const within = 2;

/**
 * Tones are fitted and those above the cut-off dropped, whatever part of a period the record cuts off; what is left is
 * filtered, and the tones below put back.
 *
 * @param cutOff Hz, below half the sampling rate; a tone on it, or no farther from it than the record's Fourier components from
 * each other, stays
 */
export function bandLimited(record: LitRecord, cutOff: number): BandLimited {
  const own = known.get(record.analysis) ?? new Map<number, BandLimited>();
  known.set(record.analysis, own);
  const limited = own.get(cutOff) ?? computed(record, cutOff);
  own.set(cutOff, limited);
  return limited;
}

/** By cut-off: a record has one analysis, which the budget's runs share. */
const known = new WeakMap<LitRecord['analysis'], Map<number, BandLimited>>();

/** Its modulation alone. An error of gain and offset moves the extremes along, and what was taken off them with the gain. */
export function bandModulation(record: LitRecord, cutOff: number): number {
  const extremes = linearFigures(
    record.waveform,
    (waveform): Pick<Extent, 'low' | 'high'> => {
      const analysis = waveform === record.waveform ? record.analysis : analysisOf(waveform);
      return bandLimited({ waveform, analysis }, cutOff);
    },
    ({ low, high }, gain, offset) => ({ low: low * gain + offset, high: high * gain + offset }),
  );
  return contrast(extremes);
}

function computed(record: LitRecord, cutOff: number): BandLimited {
  const { waveform, analysis } = record;
  const { rate } = waveform;
  const { mean } = analysis.spectrum;
  const components = tonal(record, cutOff);
  const { tones, lowPass } = withoutTones(waveform.samples, {
    mean,
    near: components.map(({ frequency }) => frequency / rate),
    farthest: (farOff * analysis.spectrum.step) / rate,
  });
  const fitted = components.flatMap((component, k) => {
    const tone = tones[k];
    return tone ? fittedTone(tone, component, { rate, cutOff, count: lengthOf(waveform) }) : [];
  });
  const course = lowPass(cutOff / rate);
  const { values } = course;
  for (let k = 0; k < values.length; k++) values[k] = valueAt(values, k) + mean;
  const put = (each: Fitted[]) => {
    for (const { tone } of each) addTone(values, tone, 1, course);
  };
  put(fitted.filter(({ side }) => side < -within));
  const noise = noiseBelow(record, cutOff);
  const sureOnly = contrast(extent(values, noise));
  const open = fitted.filter(({ side }) => Math.abs(side) <= within);
  put(open);
  const found = extent(values, noise);
  const cut = Math.floor(ends * values.length);
  return {
    course,
    modulation: contrast(found),
    low: found.low,
    high: found.high,
    correction: found.correction / (found.high + found.low),
    merged: open.reduce((sum, { merged }) => sum + merged, 0),
    without: open.length > 0 ? sureOnly : contrast(found),
    within: contrast(extent(values.subarray(cut, values.length - cut), noise)),
  };
}

/** Part of the record's either end that the figure should not hang on. */
const ends = 0.1;

/** Noise of the band, rms: by the white noise of a sample, or by what lies between the lines of the band, if that is less. */
function noiseBelow({ waveform, analysis }: LitRecord, cutOff: number): number {
  const { floor, spectrum, noise } = analysis;
  const last = Math.min(spectrum.power.length, Math.ceil(cutOff / spectrum.step));
  let power = 0;
  for (let block = 0, first = 1; first < last; block++) {
    const end = Math.min(last, indexAt(floor.ends, block));
    power += (end - first) * valueAt(floor.levels, block);
    first = end;
  }
  const white = noise * Math.sqrt(Math.min(1, (2 * cutOff) / waveform.rate));
  return Math.min(white, Math.sqrt(power / 2));
}

interface Fitted {
  readonly tone: Tone;
  /** Of the cut-off: below it when negative, open between -2 and 2. */
  readonly side: number;
  /** Amplitude relative to the mean of what may be several tones; 0 where it is one. */
  readonly merged: number;
}

function tonal({ waveform, analysis }: LitRecord, cutOff: number): readonly Component[] {
  const { step } = analysis.spectrum;
  return componentsOf({ waveform, analysis })
    .filter(({ frequency }) => frequency > slowest * step && frequency < farthest * cutOff)
    .sort((a, b) => b.amplitude - a.amplitude)
    .slice(0, mostTones);
}

/** A fit that moves farther than this, in bins, met another tone. */
const farOff = 0.5;

interface Limits {
  /** Samples a second, and samples. */
  readonly rate: number;
  readonly count: number;
  /** Hz */
  readonly cutOff: number;
}

function fittedTone(
  tone: Tone,
  { deviation, amplitude, merged }: Component,
  { rate, count, cutOff }: Limits,
): Fitted {
  // Fourier components of the record lie this far apart: a tone so near the cut-off has some on either side of it.
  const resolution = rate / count;
  return {
    tone,
    side: (tone.frequency * rate - cutOff) / Math.max(deviation, resolution / within),
    merged: merged > 0 ? amplitude * (1 + merged) : 0,
  };
}

interface Extent {
  readonly low: number;
  readonly high: number;
  /** Taken off both sides together. */
  readonly correction: number;
}

/** Extremes less the expected excess of noise (rms in the band) in as many independent points as come near them. */
function extent(values: Float64Array, noise: number): Extent {
  const { lowest, highest, lowestAt, highestAt } = statistics(values);
  const reach = 2 * largestOfNormals(values.length) * noise;
  let [nearLow, nearHigh] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    const value = valueAt(values, k);
    if (value <= lowest + reach) nearLow++;
    if (value >= highest - reach) nearHigh++;
  }
  // Noise of a band is a new one every half period of its highest frequency.
  const independent = pointsPerPeriod / 2;
  const half = (highest - lowest) / 2;
  const above = Math.min(half, noise * largestOfNormals(nearHigh / independent));
  const below = Math.min(half, noise * largestOfNormals(nearLow / independent));
  return {
    low: lowest + below - beyond(values, lowestAt),
    high: highest - above + beyond(values, highestAt),
    correction: above + below,
  };
}

/** How far the parabola through a point and its neighbours reaches beyond it. */
function beyond(values: Float64Array, at: number): number {
  if (at < 1 || at >= values.length - 1) return 0;
  const [before, after] = [valueAt(values, at - 1), valueAt(values, at + 1)];
  const bend = Math.abs(before - 2 * valueAt(values, at) + after);
  return bend === 0 ? 0 : (after - before) ** 2 / (8 * bend);
}

function contrast({ low, high }: Pick<Extent, 'low' | 'high'>): number {
  return (high - low) / (high + low);
}
