import { type HannTrack, hannTrack } from '../../analysis/hann-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { courseChart } from '../../charts/course-chart.ts';
import { stepChart } from '../../charts/fade-charts.ts';
import { spectrogramChart } from '../../charts/spectrogram-chart.ts';
import { commandedFade } from '../../features/fade/commanded-fade.ts';
import { fitFade } from '../../features/fade/fit-fade.ts';
import type { Metric } from '../../metric.ts';
import { channelNeed } from '../../needs.ts';
import type { Commanded, Observation } from '../../observation.ts';
import { oneSided } from '../../one-sided.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { hannMeanOfFunction, hannNoise } from '../../signal/hann.ts';
import { memoise } from '../../signal/memoise.ts';
import { valueAt } from '../../signal/samples.ts';
import { commandedLevel, turningPoints, weightedChannels } from '../../subject/commanded-light.ts';
import { soundRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/**
 * Largest visible step: the largest relative change of light within the eye's temporal smoothing beyond what the ideal
 * fade changes in that time. The light is averaged (Hann) over `smoothing`; the change of its logarithm from one
 * average to the next but one (they do not overlap) is held against those of the ideal within one smoothing around,
 * so a command that is carried out late is no step. Ideal: the fitted fade where the window holds exactly one,
 * otherwise the commanded time line.
 * Inputs: LED current (A) or light (lx) in a fade, several fades, or a steady level. Output: ΔL/L >= 0. Visible from
 * about 1 % (ideal viewing) to 2 % at photopic levels, more below; hidden when many small ones follow each other.
 * Floor: twice the noise of the averages of the largest step.
 * Not measurable: no light commanded, sampled too slowly, more than a quarter of the lit window lost in noise.
 * Fooled by: steps that follow each other within `smoothing`, which count as one; noise at the bottom, which hides
 * small steps; how bright the room is, which decides what an eye really sees.
 * Source: Weber fraction 1..2 % confirmed in vision texts; duration of the eye's summation 30..100 ms from memory.
 */
export const largestVisibleStep: Metric = {
  id: 'largest-visible-step',
  title: 'Largest visible step',
  family: 'fade',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: channelNeed,
  parameters: [
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.05,
      about: "duration of the eye's temporal summation",
    },
    {
      name: 'visible-noise',
      kind: 'ratio',
      default: 0.02,
      about: 'relative noise of an average beyond which it does not count',
    },
  ],
  source: 'weber',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const waveform = soundRecord(observation, channelNeed);
    if (!isMeasurable(waveform)) return waveform;
    const smoothing = Number(observation.parameters['smoothing'] ?? 0.05);
    if (waveform.rate * smoothing < 8) {
      return notMeasurable('too-slow', { found: waveform.rate, needed: 8 / smoothing, unit: 'Hz' });
    }
    const track = hannTrack(waveform, observation.window, smoothing, smoothing / reach);
    const { expected, fade } = idealOf(track, observation, waveform);
    const steps = stepsOf(track, expected, observation, waveform);
    if (!isMeasurable(steps)) return steps;
    const worst = steps.all.reduce((one, two) => (two.beyond > one.beyond ? two : one));
    const notes = { at: worst.at, 'part-seen': steps.seen };
    const shown = evidence
      ? {
          charts: [
            courseChart(waveform, observation, `Light of ${observation.of}`, smoothing),
            stepChart(steps.all),
            ...spectrogramChart(
              waveform,
              turningWindow(observation),
              `Changes of ${observation.of} by frequency`,
            ),
          ],
          notes,
        }
      : noEvidence;
    const given = (givesWay * track.width) / fade.duration;
    const beyond = worst.beyond * (1 + given);
    const value = Math.expm1(beyond);
    const contributions = [
      { name: 'noise of the averages', standard: Math.SQRT2 * worst.noise, isNoise: true },
      { name: 'instant of the command', standard: standardSlope(expected, observation) },
      { name: 'place of the averages', standard: misplaced * Math.abs(worst.change) },
      { name: 'slope of the fitted fade', standard: fade.standardDuration * steepestOf(expected) },
      { name: 'step within the fitted fade', standard: oneSided * given * worst.beyond },
    ];
    // A step as large as the noise of two averages would not have stood out.
    return measured(value, shown, contributions, Math.max(value, Math.SQRT2 * 2 * worst.noise));
  },
};

/** The window, and where in it the command turns. */
function turningWindow(observation: Observation) {
  return { ...observation.window, turns: turningPoints(observation, observation.window) };
}

/** Averages per smoothing. */
const reach = 8;
/** Part of a step that averages an eighth of their width apart miss at most, all of it to one side: 2 (x - sin(2πx)/2π), x = 1/16, times 0.55. */
const misplaced = 0.0018;
/**
 * A fitted line takes a lone step into its own change over the whole fade: 1.5 to 1.6 of one in the middle (least squares; the
 * fit leaves the fade's ends out), nothing of one near the ends, nor of one of many [computed]. Half of that is given back,
 * and as much is open either way.
 */
const givesWay = 0.8;

interface Step {
  readonly at: number;
  /** Change of the logarithm over one smoothing, and by how much it leaves what the ideal does thereabouts. */
  readonly change: number;
  readonly beyond: number;
  readonly noise: number;
}

/** A fitted fade: how long it takes, s, and how well its speed is known (relative, k = 1). */
interface Fitted {
  readonly duration: number;
  readonly standardDuration: number;
}

const notFitted: Fitted = { duration: Number.POSITIVE_INFINITY, standardDuration: 0 };

/** The averages of the light that ought to be, up to a factor. */
function idealOf(
  { times, width }: HannTrack,
  observation: Observation,
  waveform: Waveform,
): { readonly expected: Float64Array; readonly fade: Fitted } {
  const fade = commandedFade(observation);
  const fit = isMeasurable(fade) ? fitFade(waveform, fade) : fade;
  if (isMeasurable(fit))
    return {
      expected: times.map((at) => fit.meanAt(at, width)),
      fade: {
        duration: fit.duration,
        standardDuration: fit.standardDuration / fit.duration,
      },
    };
  const { commanded, of } = observation;
  const expected = times.map((at) => commandedAverage(commanded, of, width, at));
  return { expected, fade: notFitted };
}

const commandedAverage = memoise((commanded: Commanded, of: string, width: number, at: number) =>
  hannMeanOfFunction((t) => commandedLevel({ commanded, of }, t), at, width),
);

/**
 * A fade that is cut short by the next command has another slope when the time between them is another: so much more or
 * less does the ideal change within one smoothing.
 */
function standardSlope(expected: Float64Array, observation: Observation): number {
  const instant = observation.commanded.standardInstant ?? 0;
  if (instant === 0 || isMeasurable(commandedFade(observation))) return 0;
  const fades = weightedChannels(observation).flatMap(({ channel }) =>
    channel.segments.filter(({ startLevel, endLevel }) => startLevel !== endLevel),
  );
  const shortest = Math.min(...fades.map(({ from, to }) => to - from));
  return (Math.SQRT2 * instant * steepestOf(expected)) / Math.max(shortest, instant);
}

/** The largest change of the ideal's logarithm within one smoothing. */
function steepestOf(expected: Float64Array): number {
  return idealsOf(expected).reduce((most, each) => Math.max(most, Math.abs(each)), 0);
}

function idealsOf(expected: Float64Array): Float64Array {
  return expected.map((value, index) => {
    const before = expected[index - reach] ?? 0;
    return before > 0 && value > 0 ? Math.log(value / before) : 0;
  });
}

/** By how much a change leaves what the ideal does within one smoothing before and after. */
function beyondIdeals(change: number, ideals: Float64Array, index: number): number {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  const last = Math.min(ideals.length - 1, index + reach);
  for (let k = Math.max(0, index - reach); k <= last; k++) {
    const ideal = valueAt(ideals, k);
    if (ideal < low) low = ideal;
    if (ideal > high) high = ideal;
  }
  return Math.max(change - high, low - change, 0);
}

function stepsOf(
  { times, values, width }: HannTrack,
  expected: Float64Array,
  { parameters }: Observation,
  waveform: Waveform,
): { readonly all: readonly Step[]; readonly seen: number } | NotMeasurable {
  const limit = Number(parameters['visible-noise'] ?? 0.02);
  const sensor = (hannNoise * quietNoise(waveform)) / Math.sqrt(width * waveform.rate);
  const ideals = idealsOf(expected);
  const all: Step[] = [];
  let lit = 0;
  for (let index = reach; index < times.length; index++) {
    if (!(valueAt(expected, index) > 0 && valueAt(expected, index - reach) > 0)) continue;
    lit++;
    const [before, now] = [valueAt(values, index - reach), valueAt(values, index)];
    const darker = Math.min(before, now);
    // Judged by what ought to be there as well: a dropout is dark, and yet no noise.
    const noise = sensor / Math.max(darker, sensor);
    const usual = sensor / Math.max(before, now, sensor);
    if (usual > limit) continue;
    const change = Math.log(Math.max(now, sensor, 1e-12) / Math.max(before, sensor, 1e-12));
    const beyond = beyondIdeals(change, ideals, index);
    all.push({ at: valueAt(times, index) - width / 2, change, beyond, noise });
  }
  const seen = lit === 0 ? 0 : all.length / lit;
  if (lit === 0) return notMeasurable('dark', { note: 'no light is commanded in the window' });
  if (seen < 0.75) {
    const facts = { found: seen, needed: 0.75, unit: '1' };
    return notMeasurable('below-noise', {
      ...facts,
      note: 'part of the window that rises above the noise',
    });
  }
  return { all, seen };
}
