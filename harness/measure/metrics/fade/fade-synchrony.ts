import { crossfadeChart } from '../../charts/fade-charts.ts';
import { channelFades, channelsNeed } from '../../features/fade/channel-fades.ts';
import { type Passings, passings } from '../../features/fade/passings.ts';
import type { Metric } from '../../metric.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';

/** Shares of the way at which the channels are compared: from 5 % to 95 %, as the averages reach into the plateaus beyond. */
const shares = Array.from({ length: 61 }, (_, k) => 0.05 + (0.9 * k) / 60);
/** An average is at most this part of a fade. */
const widest = 1 / 16;

/**
 * Largest time between the first and the last channel of a crossfade to have gone the same share of the way in the
 * dimming-curve domain, over the whole fade from 5 % to 95 % of the way; start and arrival have metrics of their own.
 * Inputs: every channel's LED current (A), or light of each channel alone. Output: s.
 * Not measurable: as for the spread of arrival.
 * Floor: twice the uncertainty of the instants. What is shorter than `smoothing` is averaged away.
 * Fooled by: channels that meet at the ends and part by less than `smoothing` shows in between; light of other channels
 * in a record of light.
 * Source: common practice, no source.
 */
export const fadeSynchrony: Metric = {
  id: 'fade-synchrony',
  title: 'Largest time between channels within a fade',
  family: 'fade',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs: channelsNeed,
  parameters: [
    {
      name: 'smoothing',
      kind: 'time',
      default: 0.02,
      about: 'width of the window that the light is averaged over, at most a sixteenth of the fade',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale'],
  compute(observation, { evidence = true } = {}) {
    const found = channelFades(observation);
    if (!isMeasurable(found)) return found;
    const smoothing = Number(observation.parameters['smoothing'] ?? 0.02);
    const all = found.map(({ fade }) => {
      const { from, to } = fade.commanded;
      return passings(fade, shares, Math.min(smoothing, widest * (to - from)));
    });
    const apart = shares.map((_, place) => apartAt(all, place));
    const worst = apart.reduce((one, two) => (two.spread > one.spread ? two : one));
    const plateaus = Math.max(...found.map(({ fade }) => fade.fit.standardPlateaus));
    const share = shares[apart.indexOf(worst)] ?? 0;
    const parts = found.map(({ channel, fade }) => ({ channel, ...fade }));
    const shown = evidence
      ? {
          charts: [crossfadeChart(parts, observation, 'Fades of all channels')],
          notes: { 'share-of-the-way': share },
        }
      : noEvidence;
    return measured(
      worst.spread,
      shown,
      [
        { name: 'scatter of the averages', standard: worst.standard, isNoise: true },
        { name: 'scatter of the plateaus', standard: Math.SQRT2 * plateaus },
        { name: 'largest of many', standard: chosen(apart, worst.spread), isNoise: true },
      ],
      Math.max(worst.spread, 2 * largestStandard(apart)),
    );
  },
};

/** What scatter adds by making one share's time the largest: no more than its excess over the median, nor than scatter can. */
function chosen(apart: readonly Apart[], largest: number): number {
  const spreads = apart.map(({ spread }) => spread).sort((a, b) => a - b);
  const excess = largest - (spreads[spreads.length >> 1] ?? largest);
  return Math.min(knownExcess * excess, scatterOfLargest * largestStandard(apart));
}

/** A known error to one side, as U = 2 u. */
const knownExcess = 0.55;
/** The largest of some independent shares lies so many standard deviations off (k = 1; largest of ten: 1.5). */
const scatterOfLargest = 1.5;

function largestStandard(apart: readonly Apart[]): number {
  return Math.max(...apart.map(({ standard }) => standard));
}

interface Apart {
  readonly spread: number;
  readonly standard: number;
}

/** Last minus first channel at one share of the way, and its standard uncertainty. */
function apartAt(all: readonly Passings[], place: number): Apart {
  const ordered = all
    .map(({ at, standard }) => ({ at: valueAt(at, place), standard: valueAt(standard, place) }))
    .sort((a, b) => a.at - b.at);
  const [first, last] = [ordered[0], ordered.at(-1)] as [Instant, Instant];
  return { spread: last.at - first.at, standard: Math.hypot(first.standard, last.standard) };
}

/** s, with its standard uncertainty. */
interface Instant {
  readonly at: number;
  readonly standard: number;
}
