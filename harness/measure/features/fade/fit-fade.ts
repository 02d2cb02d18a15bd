import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import type { Waveform } from '../../waveform.ts';
import type { CommandedFade } from './commanded-fade.ts';
import { type FadeModel, fadeModel } from './fade-model.ts';
import { fadePlateaus, type Plateaus, windowSamples } from './fade-plateaus.ts';
import { notStraight } from './straightness.ts';

/**
 * Straight-line fit of a fade in the dimming-curve domain, extrapolated to both plateaus.
 *
 * Plateaus are tapered means of the steady light before and after. The fade itself is averaged in overlapping Hann
 * windows, each an eighth of the fade long, which removes modulator tones. An average over an exponential is not the
 * exponential's middle; the model is therefore averaged under the same window and the two are compared, so a fast
 * fade is not biased. The comparison is relative to the model, not a logarithm of the sample: noise at the bottom
 * then has no bias. Each difference is turned into a shift along the curve domain, and a weighted least-squares line
 * through these points against time is iterated until it stands still.
 * Source: IEC 62386-102 9.5 for the curve domain (a fade is linear in level n); the fit is our own method.
 */
export interface FadeFit extends FadeModel {
  /** Instants at which the line meets the plateaus, s. */
  readonly start: number;
  readonly end: number;
  readonly duration: number;
  /** Standard uncertainties from the scatter about the line, s. */
  readonly standardStart: number;
  readonly standardEnd: number;
  readonly standardDuration: number;
  /** Standard uncertainty of the duration, s, from the scatter within the plateaus. */
  readonly standardPlateaus: number;
  /** Levels of the ramp's ends in the record's unit, and of the plateaus themselves. */
  readonly startLevel: number;
  readonly endLevel: number;
  readonly startPlateau: number;
  readonly endPlateau: number;
  /** White noise of one sample, in the record's unit. */
  readonly noise: number;
}

/** Windows that fit into a fade; fewer smear it, more let the modulator's tones through. */
const windowsPerFade = 8;
/** Windows overlap: one every quarter of their width. */
const overlap = 4;
/** Variance of a mean of Hann windows at 75 % overlap, as a multiple of that of independent ones [computed]. */
const overlapVariance = 2.67;
/** Relative scatter of an average that even a noiseless modulator leaves. */
const toneScatter = 0.003;
const iterations = 30;

export function fitFade(waveform: Waveform, fade: CommandedFade): FadeFit | NotMeasurable {
  const needed = (windowsPerFade * windowSamples) / (fade.to - fade.from);
  if (waveform.rate < needed) {
    return notMeasurable('too-slow', { found: waveform.rate, needed, unit: 'Hz' });
  }
  const plateaus = fadePlateaus(waveform, fade);
  if ('measured' in plateaus) return plateaus;
  const bent = notStraight(waveform, fade, plateaus);
  if (bent) return bent;
  const first = firstGuess(waveform, fade, plateaus);
  if ('measured' in first) return first;
  return refine(waveform, fade, plateaus, first);
}

/** The line that was commanded, between the measured plateaus: nothing of it is fitted. */
export function commandedLine(waveform: Waveform, fade: CommandedFade): FadeFit | NotMeasurable {
  const plateaus = fadePlateaus(waveform, fade);
  if (!isMeasurable(plateaus)) return plateaus;
  const line = { start: fade.from, duration: fade.to - fade.from };
  return {
    ...line,
    end: fade.to,
    standardStart: 0,
    standardEnd: 0,
    standardDuration: 0,
    standardPlateaus: plateaus.standard * line.duration,
    ...plateaus,
    ...fadeModel(fade, plateaus, line),
  };
}

interface Line {
  readonly start: number;
  readonly duration: number;
}

/** Where the averaged light passes a quarter and three quarters of the way, extrapolated. */
function firstGuess(
  waveform: Waveform,
  fade: CommandedFade,
  { startLevel, endLevel }: Plateaus,
): Line | NotMeasurable {
  const width = (fade.to - fade.from) / windowsPerFade;
  const window = { from: fade.before.from, to: fade.after.to };
  const track = hannTrack(waveform, window, width, width / overlap);
  const way = (level: number) =>
    fade.logarithmic
      ? Math.log(Math.max(level, 1e-12 * endLevel) / startLevel) / Math.log(endLevel / startLevel)
      : (level - startLevel) / (endLevel - startLevel);
  const passed = [0.25, 0.75].map((share) =>
    passing(track, (level) => way(level), fade.course(share)),
  );
  const [quarter, rest] = passed;
  if (quarter == null || rest == null || rest <= quarter) {
    return notMeasurable('no-fade', {
      note: 'the light does not go from one plateau to the other',
    });
  }
  const duration = 2 * (rest - quarter);
  return { start: quarter - duration / 4, duration };
}

function passing(
  { times, values }: HannTrack,
  way: (level: number) => number,
  share: number,
): number | null {
  for (let index = 1; index < times.length; index++) {
    const before = way(valueAt(values, index - 1));
    const now = way(valueAt(values, index));
    if (before < share && now >= share) {
      const part = (share - before) / (now - before);
      const [from, to] = [valueAt(times, index - 1), valueAt(times, index)];
      return from + part * (to - from);
    }
  }
  return null;
}

function refine(
  waveform: Waveform,
  fade: CommandedFade,
  plateaus: Plateaus,
  first: Line,
): FadeFit | NotMeasurable {
  // An abrupt change has no slope to fit; it is narrower than a window can be.
  const width = Math.max(first.duration / windowsPerFade, windowSamples / waveform.rate);
  const margin = 2 * (first.duration + width);
  const around = { from: first.start - margin, to: first.start + first.duration + margin };
  const track = hannTrack(waveform, around, width, width / overlap);
  let line = first;
  let result = improve(track, fade, plateaus, line, waveform.rate);
  for (let count = 0; count < iterations && result; count++) {
    const change = Math.abs(result.start - line.start) + Math.abs(result.duration - line.duration);
    line = result;
    if (change < 1e-9 * line.duration) break;
    result = improve(track, fade, plateaus, line, waveform.rate) ?? result;
  }
  if (!result) {
    return notMeasurable('unresolved', { note: 'too few averages lie within the fade for a line' });
  }
  const { start, duration: length } = result;
  return {
    start,
    end: start + length,
    duration: length,
    standardStart: result.standardStart,
    standardEnd: result.standardEnd,
    standardDuration: result.standardDuration,
    standardPlateaus: plateaus.standard * length,
    ...plateaus,
    ...fadeModel(fade, plateaus, result),
  };
}

interface Improved extends Line {
  readonly standardStart: number;
  readonly standardEnd: number;
  readonly standardDuration: number;
}

/** One round: shifts along the curve domain at the present line, then the line through the shifted points. */
function improve(
  { times, values, width }: HannTrack,
  fade: CommandedFade,
  plateaus: Plateaus,
  line: Line,
  rate: number,
): Improved | null {
  const { levelAt, meanAt } = fadeModel(fade, plateaus, line);
  const averageNoise = (hannNoise * plateaus.noise) / Math.sqrt(width * rate);
  const points: Point[] = [];
  const edge = width / 2 + 0.01 * line.duration;
  for (let index = 0; index < times.length; index++) {
    const at = valueAt(times, index);
    if (at - edge < line.start || at + edge > line.start + line.duration) continue;
    const part = (at - line.start) / line.duration;
    const expected = meanAt(at, width);
    // Slope of the level along the curve domain, from the model on either side.
    const reach = 0.25 * width;
    const slope = (levelAt(at + reach) - levelAt(at - reach)) / ((2 * reach) / line.duration);
    if (slope === 0) continue;
    const shift = Math.max(-0.3, Math.min(0.3, (valueAt(values, index) - expected) / slope));
    const standard = Math.hypot(averageNoise, toneScatter * expected) / slope;
    points.push({ at, part: part + shift, weight: 1 / standard ** 2 });
  }
  return points.length < 6 ? null : lineThrough(points, line);
}

interface Point {
  readonly at: number;
  /** Share of the way, as observed. */
  readonly part: number;
  readonly weight: number;
}

function lineThrough(points: readonly Point[], { start }: Line): Improved | null {
  let sum = 0;
  let sumAt = 0;
  let sumPart = 0;
  for (const { at, part, weight } of points) {
    sum += weight;
    sumAt += weight * (at - start);
    sumPart += weight * part;
  }
  const middle = sumAt / sum;
  const mean = sumPart / sum;
  let xx = 0;
  let xy = 0;
  for (const { at, part, weight } of points) {
    const x = at - start - middle;
    xx += weight * x * x;
    xy += weight * x * (part - mean);
  }
  const slope = xy / xx;
  if (!(slope > 0)) return null;
  let residual = 0;
  for (const { at, part, weight } of points) {
    residual += weight * (part - mean - slope * (at - start - middle)) ** 2;
  }
  const variance = (overlapVariance * residual) / (points.length - 2);
  const standardMean = Math.sqrt(variance / sum);
  const standardSlope = Math.sqrt(variance / xx);
  const toStart = middle - mean / slope;
  const duration = 1 / slope;
  return {
    start: start + toStart,
    duration,
    standardStart: Math.hypot(standardMean, standardSlope * (toStart - middle)) / slope,
    standardEnd: Math.hypot(standardMean, standardSlope * (toStart + duration - middle)) / slope,
    standardDuration: (standardSlope / slope) * duration,
  };
}
