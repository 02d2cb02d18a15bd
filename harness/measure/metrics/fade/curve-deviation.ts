import { hannTrack } from '../../analysis/hann-track.ts';
import { fadeChart } from '../../charts/fade-charts.ts';
import { type FadeEnds, fadeEnds, shapeWidth } from '../../features/fade/fade-ends.ts';
import { fadeModel } from '../../features/fade/fade-model.ts';
import { fadeOfAnyShape, type ObservedFade } from '../../features/fade/observed-fade.ts';
import { plateauScatter } from '../../features/fade/plateau-scatter.ts';
import type { Metric } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { largestOfNormals } from '../../signal/largest-of-normals.ts';
import { valueAt } from '../../signal/samples.ts';

/**
 * Largest deviation of a fade from the straight line in the dimming-curve domain, as relative light: the averaged
 * light over the straight line averaged alike, minus 1. The line runs from the instant at which the light leaves its
 * first plateau to the one at which it arrives at the last (delay and duration are judged by other metrics); the plateaus
 * are the measured ones. Where no straight line describes the fade, the line is the commanded one.
 * Averages (Hann) are `resolution` of the fade long, 20 ms at least; where noise alone would move one by more than `visible-noise`
 * it is left out, and nothing is said when that is more than a quarter of the fade.
 * Inputs: as for fade-duration. Output: ratio >= 0; 0.1 is light that is 10 % too bright or too dark somewhere.
 * Not measurable: as for fade-duration, but for the shape; lost in noise at the bottom.
 * Fooled by: the zero of the input, at the dim end; a lamp that uses another dimming curve than the lamp file says; a
 * disturbance shorter than `resolution`, which is averaged away.
 * Source: IEC 62386-102 (the curve); the deviation is common practice, no source.
 */
export const curveDeviation: Metric = {
  id: 'curve-deviation',
  title: 'Largest deviation of a fade from the dimming curve',
  family: 'fade',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: fadeNeed,
  parameters: [
    {
      name: 'resolution',
      kind: 'ratio',
      default: 0.04,
      about: 'width of the averages as a part of the fade',
    },
    {
      name: 'visible-noise',
      kind: 'ratio',
      default: 0.02,
      about: 'relative noise of an average beyond which it does not count',
    },
  ],
  source: 'iec-62386-102',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const fade = fadeOfAnyShape(observation);
    if (!isMeasurable(fade)) return fade;
    const { parameters, of } = observation;
    const width = shapeWidth(fade, Number(parameters['resolution'] ?? 0.04));
    const limit = Number(parameters['visible-noise'] ?? 0.02);
    const found = deviations(fade, width, limit);
    if (found.seen < 0.75) {
      return notMeasurable('below-noise', {
        found: found.seen,
        needed: 0.75,
        unit: '1',
        note: 'part of the fade that rises above the noise',
      });
    }
    const shown = evidence
      ? {
          charts: [fadeChart(fade, observation, `Fade of ${of}`, width)],
          notes: { at: found.at, 'level-there': found.level, 'part-seen': found.seen },
        }
      : noEvidence;
    return measured(Math.abs(found.worst), shown, [
      { name: 'noise of the averages', standard: noiseOfLargest(found), isNoise: true },
      { name: 'width of the averages', standard: evidence ? blur(fade, width, limit, found) : 0 },
      { name: 'ends of the line', standard: found.ends },
      { name: 'instant of the command', standard: byInstant(fade, found, observation) },
      { name: 'slope of the plateaus', standard: found.tilt / Math.sqrt(3) },
    ]);
  },
};

/** What is open of a deviation where the line has a level; all relative to that level. */
interface Doubt {
  /** Of the average, and of the line by the noise of its ends. */
  readonly noise: number;
  /** What the reading of the line's ends between two averages leaves open. */
  readonly ends: number;
  /** By how much the line may be off if the plateaus go on as they slope. */
  readonly tilt: number;
}

interface Deviation extends Doubt {
  readonly worst: number;
  readonly at: number;
  readonly level: number;
  /** How many averages could be judged, and which part of the fade they are. */
  readonly averages: number;
  readonly seen: number;
}

/** The commanded line stays where it was commanded. */
const unmoved: FadeEnds = { startShift: 0, endShift: 0, standardShare: 0 };

/** Half-overlapping averages count as one each, neighbours closer than that are alike; but each may err to either side. */
const alike = 2;
const sides = 2;

/** So many of its own uncertainty from 0 a deviation is none that noise alone has made. */
const clear = 3;

/** A deviation that noise alone may have made is the largest of many: that much it may be too large. */
function noiseOfLargest({ worst, noise, averages }: Deviation): number {
  const byChance = Math.max(2, largestOfNormals(Math.max(2, (sides * averages) / alike)) + 1) / 2;
  return Math.abs(worst) > clear * byChance * noise ? noise : byChance * noise;
}

/** What the instant of the command leaves open: nothing where the line lies between the light's own ends. */
function byInstant(
  { asCommanded, commanded: { logarithmic }, fit }: ObservedFade,
  { worst, level }: Deviation,
  { commanded: { standardInstant = 0 } }: Observation,
): number {
  if (!asCommanded) return 0;
  const { startLevel, endLevel, duration } = fit;
  const span = logarithmic ? Math.log(endLevel / startLevel) : (endLevel - startLevel) / level;
  return (Math.abs((1 + worst) * span) * standardInstant) / duration;
}

/** How finely the instant of a crossing is read between averages an eighth of a width apart, as a part of the width [computed: creeping ends]. */
const between = 0.0005;

/** An average of half the width shows a quarter of the blur: what it shows more is three quarters of the error. */
function blur(fade: ObservedFade, width: number, limit: number, found: Deviation): number {
  const finer = deviations(fade, Math.max(width / 2, 4 / fade.waveform.rate), limit);
  const more =
    Math.abs(finer.worst) - Math.abs(found.worst) - 2 * Math.hypot(finer.noise, found.noise);
  return ((4 / 3) * Math.max(0, more)) / 2;
}

function deviations(fade: ObservedFade, width: number, limit: number): Deviation {
  const { waveform, commanded, fit } = fade;
  const plateaus = plateauScatter(fade, width);
  // A fitted line gives way to the very bump that is looked for; the line between the light's own ends does not.
  const { startShift, endShift, standardShare } = fade.asCommanded
    ? unmoved
    : fadeEnds(fade, width, [plateaus.start.noise, plateaus.end.noise]);
  const start = fit.start + startShift;
  const end = fit.end + endShift;
  const line = fadeModel(commanded, fit, { start, duration: end - start });
  const track = hannTrack(waveform, { from: start, to: end }, width, width / 4);
  const white = (hannNoise * fit.noise) / Math.sqrt(track.width * waveform.rate);
  let best = { worst: 0, at: start, level: fit.startLevel };
  let seen = 0;
  for (let index = 0; index < track.values.length; index++) {
    const at = valueAt(track.times, index);
    const level = line.meanAt(at, track.width);
    if (white / level > limit) continue;
    seen++;
    const worst = valueAt(track.values, index) / level - 1;
    if (Math.abs(worst) > Math.abs(best.worst)) best = { worst, at, level };
  }
  return {
    ...best,
    ...doubtAt(best.level, fade, { white, plateaus, standardShare, width }),
    averages: seen,
    seen: track.times.length === 0 ? 0 : seen / track.times.length,
  };
}

interface Scatter {
  /** Of an average by the white noise of its samples, in the record's unit. */
  readonly white: number;
  readonly plateaus: ReturnType<typeof plateauScatter>;
  /** Of the line's ends, as a share of the way. */
  readonly standardShare: number;
  /** Of the averages, s. */
  readonly width: number;
}

function doubtAt(
  level: number,
  { commanded: { logarithmic }, fit }: ObservedFade,
  { white, plateaus: { start, end }, standardShare, width }: Scatter,
): Doubt {
  const { startLevel, endLevel } = fit;
  const span = Math.abs(logarithmic ? Math.log(endLevel / startLevel) : endLevel - startLevel);
  const perShare = span / (logarithmic ? 1 : level);
  // An instrument's noise is the same at any level, a lamp's goes with it: either way it lies on the line between the plateaus.
  const way = (level - startLevel) / (endLevel - startLevel);
  const own = Math.max(white, start.noise + way * (end.noise - start.noise));
  return {
    noise: Math.hypot(own / level, standardShare * perShare),
    ends: ((between * width) / fit.duration) * perShare,
    tilt: Math.hypot(
      start.tilt / (logarithmic ? startLevel : level),
      end.tilt / (logarithmic ? endLevel : level),
    ),
  };
}
