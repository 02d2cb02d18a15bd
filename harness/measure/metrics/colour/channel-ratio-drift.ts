import { darkReference } from '../../features/level/dark-reference.ts';
import { meanDoubt, meanLevel } from '../../features/level/mean-level.ts';
import type { Metric, Need } from '../../metric.ts';
import { channelNeed } from '../../needs.ts';
import type { Observation, Window } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';

const needs: Need = { ...channelNeed, scope: 'all-channels', reference: true, zero: true };

/**
 * How far the channels' proportions move between the reference window and the window: every channel's level relative
 * to its reference, divided by the same of all channels together; the largest relative deviation counts. Where the
 * spec commands different proportions in the two windows, each channel is first divided by its own command.
 * Inputs: every channel's LED current (A) or light. Output: ratio >= 0; 0.02 is a channel 2 % off the common ratio.
 * Not measurable: no reference, fewer than two channels lit in both windows.
 * Fooled by: LEDs that change their efficacy with temperature, which the current does not show; a zero that is off, at
 * low level.
 * Source: common practice, no source (dim level x channel intensity keeps colour while dimming).
 */
export const channelRatioDrift: Metric = {
  id: 'channel-ratio-drift',
  title: 'Drift of the channel ratios',
  family: 'colour',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const { reference } = observation;
    if (!reference) return notMeasurable('no-reference');
    const ratios = channelRatios(observation, reference);
    if (!isMeasurable(ratios)) return ratios;
    if (ratios.length < 2) {
      const facts = { found: ratios.length, needed: 2, unit: '1', note: 'channels lit' };
      return notMeasurable('out-of-domain', facts);
    }
    const common = ratios.reduce((sum, { ratio }) => sum + ratio, 0) / ratios.length;
    if (common <= 0) return notMeasurable('dark', { note: 'no channel is lit in the window' });
    const worst = ratios.reduce((one, two) =>
      Math.abs(two.ratio / common - 1) > Math.abs(one.ratio / common - 1) ? two : one,
    );
    const notes = Object.fromEntries(
      ratios.map(({ channel, ratio }) => [`drift-${channel}`, ratio / common - 1] as const),
    );
    return measured(
      Math.abs(worst.ratio / common - 1),
      evidence ? { charts: [], notes } : noEvidence,
      meanDoubt({
        standard: standardOf(ratios, worst, ({ standard }) => standard) / common,
        edges: standardOf(ratios, worst, ({ edges }) => edges) / common,
      }),
    );
  },
};

interface ChannelRatio {
  readonly channel: string;
  /** Measured ratio to the reference over the commanded one. */
  readonly ratio: number;
  readonly standard: number;
  /** What pulses between point samples leave open, systematic. */
  readonly edges: number;
}

/** Of one ratio less the mean of all, of which it is one. */
function standardOf(
  ratios: readonly ChannelRatio[],
  worst: ChannelRatio,
  of: (ratio: ChannelRatio) => number,
): number {
  const count = ratios.length;
  return Math.hypot(...ratios.map((one) => (of(one) * (one === worst ? count - 1 : 1)) / count));
}

function channelRatios(
  observation: Observation,
  reference: Window,
): readonly ChannelRatio[] | NotMeasurable {
  const found: ChannelRatio[] = [];
  for (const { channel } of observation.commanded.channels) {
    const own = { ...observation, of: channel };
    const asked = commandedMean(own, observation.window);
    const askedThere = commandedMean(own, reference);
    if (asked <= 0 || askedThere <= 0) continue;
    const here = meanLevel(own, needs, observation.window);
    if (!isMeasurable(here)) return here;
    const there = meanLevel(own, needs, reference);
    if (!isMeasurable(there)) return there;
    if (there.value <= 5 * there.standard)
      return darkReference(own, reference, `${channel} is dark there`);
    const part = there.value * (asked / askedThere);
    const ratio = here.value / part;
    const both = (one: number, two: number): number =>
      Math.hypot(one / part, (ratio * two) / there.value);
    const standard = both(here.standard, there.standard);
    found.push({ channel, ratio, standard, edges: both(here.edges, there.edges) });
  }
  return found;
}
