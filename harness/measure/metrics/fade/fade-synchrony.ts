import { arrivalsChart } from '../../charts/arrivals-chart.ts';
import { channelFades, channelsNeed } from '../../features/fade/channel-fades.ts';
import { type Passings, passings } from '../../features/fade/passings.ts';
import type { Metric } from '../../metric.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';

/** Shares of the way at which the channels are compared: from 5 % to 95 %, as the averages reach into the plateaus beyond. */
const shares = Array.from({ length: 61 }, (_, k) => 0.05 + (0.9 * k) / 60);
/** An average is at most this part of a fade. */
const widest = 1 / 16;

/**
 * Largest time between the first and the last channel of a crossfade to have gone the same share of the way in the
 * dimming-curve domain, over the whole fade from 5 % to 95 % of the way; start and arrival have metrics of their own.
 * Inputs: every channel's LED current (A), or light of each channel alone. Output: s.
 * Not measurable: as for the spread of arrival; a channel that does not pass a share of its way.
 * Floor: twice the uncertainty of the instants. What is shorter than `smoothing` is averaged away.
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
    const lost = found.find((_, index) => all[index]?.at.some((at) => Number.isNaN(at)));
    if (lost)
      return notMeasurable('no-fade', { note: `${lost.channel} does not go the whole way` });
    const apart = shares.map((_, place) => apartAt(all, place));
    const worst = apart.reduce((one, two) => (two.spread > one.spread ? two : one));
    const plateaus = Math.max(...found.map(({ fade }) => fade.fit.standardPlateaus));
    const share = shares[apart.indexOf(worst)] ?? 0;
    const shown = evidence
      ? { charts: [arrivalsChart(found)], notes: { 'share-of-the-way': share } }
      : noEvidence;
    return measured(
      worst.spread,
      shown,
      [
        { name: 'scatter of the averages', standard: worst.standard, isNoise: true },
        { name: 'scatter of the plateaus', standard: Math.SQRT2 * plateaus },
      ],
      Math.max(worst.spread, 2 * Math.max(...apart.map(({ standard }) => standard))),
    );
  },
};

/** Last minus first channel at one share of the way, and its standard uncertainty. */
function apartAt(all: readonly Passings[], place: number) {
  const ordered = all
    .map(({ at, standard }) => ({ at: valueAt(at, place), standard: valueAt(standard, place) }))
    .sort((a, b) => a.at - b.at);
  const [first, last] = [ordered[0], ordered.at(-1)];
  return {
    spread: (last?.at ?? 0) - (first?.at ?? 0),
    standard: Math.hypot(first?.standard ?? 0, last?.standard ?? 0),
  };
}
