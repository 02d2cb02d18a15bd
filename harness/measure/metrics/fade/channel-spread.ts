import { arrivalsChart } from '../../charts/arrivals-chart.ts';
import { crossfadeChart } from '../../charts/fade-charts.ts';
import type { Chart } from '../../evidence.ts';
import { type ChannelFade, channelFades, channelsNeed } from '../../features/fade/channel-fades.ts';
import {
  type FadeEnds,
  fadeEnds,
  shapeWidth,
  standardPerShift,
} from '../../features/fade/fade-ends.ts';
import type { FadeFit } from '../../features/fade/fit-fade.ts';
import type { ObservedFade } from '../../features/fade/observed-fade.ts';
import type { Metric } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';

/** One end of a channel's fade. */
interface End {
  readonly note: 'start' | 'arrival';
  at(fit: FadeFit): number;
  /** Standard uncertainty from the scatter about the line, s. */
  standard(fit: FadeFit): number;
  /** By how much the light itself is later than its line, s. */
  shift(ends: FadeEnds): number;
  /** Which way the fade lies from it. */
  readonly inside: 1 | -1;
}

/** Of much that the light's own ends add to the spread of the lines this part may be blur of the averages (k = 1). */
const blurred = 0.25;
/** Of so little, s, all may be. */
const little = 1e-3;

/** All of much counted as blur, and a crossfade whose channels drop out before they arrive would stay open. */
function blurOf(added: number): number {
  return Math.min(standardPerShift * added, Math.max(blurred * added, little));
}

/**
 * Spread of the instants at which the channels of a crossfade start from their plateaus, or arrive at their targets: latest
 * minus earliest, each from the straight-line fit of its channel. Channels whose level is not commanded to change are left
 * out. Where the light itself leaves or arrives at other instants than the lines (see fade-ends.ts), the larger spread counts.
 * Inputs: every channel's LED current (A), or light of each channel alone. Output: s.
 * Not measurable: fewer than two channels fade, or the fade of one of them cannot be fitted (which one is said).
 * Fooled by: channels whose change is small, which noise moves most; light of other channels in a record of light;
 * records of channels taken in turns, which lie apart by what the commands scatter.
 * Source: common practice, no source (in a colour change all channels must go and arrive at the same instant).
 */
function channelSpread(id: string, title: string, end: End): Metric {
  return {
    id,
    title,
    family: 'fade',
    unit: 's',
    dimension: 'time',
    shown: 'ms',
    needs: channelsNeed,
    parameters: [],
    source: 'common-practice',
    blindTo: ['scale'],
    statesNoise: true,
    compute(observation, { evidence = true } = {}) {
      const found = channelFades(observation);
      if (!isMeasurable(found)) return found;
      const fits = found.map(({ fade }) => fade.fit).sort((a, b) => end.at(a) - end.at(b));
      const [first, last] = [fits[0], fits.at(-1)] as [FadeFit, FadeFit];
      const notes = found.map(({ channel, fade }) => [`${end.note}-${channel}`, end.at(fade.fit)]);
      const shown = evidence
        ? { charts: chartsOf(found, observation), notes: Object.fromEntries(notes) }
        : noEvidence;
      // Neither may be late: not the lines, not the light itself where it leaves them.
      const instants = found.map(
        ({ fade }) => end.at(fade.fit) + end.shift(fadeEnds(fade, shapeWidth(fade))),
      );
      const lines = end.at(last) - end.at(first);
      const value = Math.max(lines, spreadOf(instants));
      return measured(value, shown, [
        {
          name: 'fit residual',
          standard: Math.hypot(end.standard(first), end.standard(last)),
          isNoise: true,
        },
        {
          name: 'scatter of the plateaus',
          standard: Math.hypot(first.standardPlateaus, last.standardPlateaus),
          isNoise: true,
        },
        { name: 'shape of the fades', standard: blurOf(value - lines) },
        {
          name: 'noise at the ends',
          standard: value > lines ? Math.hypot(...found.map(({ fade }) => noiseAt(fade, end))) : 0,
          isNoise: true,
        },
      ]);
    },
  };
}

function chartsOf(found: readonly ChannelFade[], observation: Observation): readonly Chart[] {
  const parts = found.map(({ channel, fade }) => ({ channel, ...fade }));
  return [arrivalsChart(found), crossfadeChart(parts, observation, 'Fades of all channels')];
}

/** The end is where the farthest of a few averages lies: so many times the noise of one, rms (k = 1). */
const farthest = 1.5;

/** By how much noise of an average moves the end that the light itself has, s: by that over the fade's speed there. */
function noiseAt(fade: ObservedFade, end: End): number {
  const { fit, waveform } = fade;
  const width = shapeWidth(fade);
  const noise = (hannNoise * fit.noise) / Math.sqrt(width * waveform.rate);
  const at = end.at(fit);
  const speed = Math.abs(fit.levelAt(at + end.inside * width) - fit.levelAt(at)) / width;
  return speed > 0 ? (farthest * noise) / speed : 0;
}

function spreadOf(instants: readonly number[]): number {
  return Math.max(...instants) - Math.min(...instants);
}

export const startSpread = channelSpread('start-spread', 'Spread of the start over the channels', {
  note: 'start',
  at: ({ start }) => start,
  standard: ({ standardStart }) => standardStart,
  shift: ({ startShift }) => startShift,
  inside: 1,
});

export const arrivalSpread = channelSpread(
  'arrival-spread',
  'Spread of arrival over the channels',
  {
    note: 'arrival',
    at: ({ end }) => end,
    standard: ({ standardEnd }) => standardEnd,
    shift: ({ endShift }) => endShift,
    inside: -1,
  },
);
