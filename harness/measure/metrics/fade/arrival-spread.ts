import type { Chart, Line } from '../../evidence.ts';
import { type ObservedFade, observedFade } from '../../features/fade/observed-fade.ts';
import type { Metric, Need } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { endsOf } from '../../signal/pairs.ts';

const needs: Need = { ...fadeNeed, scope: 'all-channels' };

/**
 * Spread of the instants at which the channels of a crossfade arrive at their targets: latest minus earliest, each
 * from the straight-line fit of its channel. Channels whose level is not commanded to change are left out.
 * Inputs: every channel's LED current (A), or light of each channel alone. Output: s.
 * Not measurable: fewer than two channels fade, or the fade of one of them cannot be fitted (which one is said).
 * Source: common practice, no source (in a colour change all channels must arrive at the same instant).
 */
export const arrivalSpread: Metric = {
  id: 'arrival-spread',
  title: 'Spread of arrival over the channels',
  family: 'fade',
  unit: 's',
  dimension: 'time',
  shown: 'ms',
  needs,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const found: Arrival[] = [];
    for (const channel of fadingChannels(observation)) {
      const fade = observedFade({ ...observation, of: channel }, needs);
      if (!isMeasurable(fade)) {
        return {
          ...fade,
          note: fade.note?.includes(channel)
            ? fade.note
            : `${channel}: ${fade.note ?? ''}`.replace(/: $/, ''),
        };
      }
      found.push({ channel, fade });
    }
    const ends = endsOf(found.toSorted((a, b) => a.fade.fit.end - b.fade.fit.end));
    if (!ends || found.length < 2) {
      const facts = { found: found.length, needed: 2, unit: '1', note: 'channels that fade' };
      return notMeasurable('no-fade', facts);
    }
    const [first, last] = [ends[0].fade.fit, ends[1].fade.fit];
    const shown = evidence ? evidenceOf(found) : noEvidence;
    return measured(last.end - first.end, shown, [
      {
        name: 'fit residual',
        standard: Math.hypot(first.standardEnd, last.standardEnd),
        isNoise: true,
      },
      {
        name: 'scatter of the plateaus',
        standard: Math.hypot(first.standardPlateaus, last.standardPlateaus),
      },
    ]);
  },
};

interface Arrival {
  readonly channel: string;
  readonly fade: ObservedFade;
}

function fadingChannels({ commanded, window }: Observation): readonly string[] {
  return commanded.channels
    .filter(({ segments }) =>
      segments.some(
        ({ from, startLevel, endLevel }) =>
          startLevel !== endLevel && from >= window.from - 1e-6 && from < window.to,
      ),
    )
    .map(({ channel }) => channel);
}

function evidenceOf(found: readonly Arrival[]) {
  const notes = Object.fromEntries(
    found.map(({ channel, fade }) => [`arrival-${channel}`, fade.fit.end] as const),
  );
  return { charts: [arrivalChart(found)], notes };
}

/** One row a channel: the ramp from start to arrival. */
function arrivalChart(found: readonly Arrival[]): Chart {
  const lines = found.map(({ channel, fade }, index): Line => {
    const { start, end } = fade.fit;
    return { name: channel, role: 'measured', x: [start, end], y: [index + 1, index + 1] };
  });
  const [first] = found;
  return {
    kind: 'arrivals',
    title: 'Start and arrival of each channel',
    x: { label: 'time', unit: 's', scale: 'linear' },
    y: { label: 'channel', unit: '1', scale: 'linear' },
    lines,
    marks: first
      ? [
          { at: first.fade.commanded.from, label: 'commanded start' },
          { at: first.fade.commanded.to, label: 'commanded end' },
        ]
      : [],
  };
}
