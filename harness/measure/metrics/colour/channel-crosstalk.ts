import { type MeanLevel, meanLevel } from '../../features/level/mean-level.ts';
import type { Metric, Need } from '../../metric.ts';
import type { CommandedChannel, Observation } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';

const needs: Need = { signals: ['channel-current'], scope: 'all-channels', zero: true };

/**
 * Crosstalk between channels: the largest mean current of a channel that is commanded dark, over its nominal current, as a
 * part of the same of the brightest channel. Current that leaks into a dark channel by itself counts, too.
 * Inputs: every channel's LED current (A). Output: ratio >= 0; 0.01 where 1 % of a lit channel's light shows in a dark one.
 * Not measurable: no channel commanded dark or none lit, a channel not recorded, no sound samples; nothing lit (dark).
 * Fooled by: crosstalk between the inputs of the digitiser, which looks like that of the lamp; a zero that is off, at
 * low currents; light of dark channels that comes with no current.
 * Source: common practice, no source.
 */
export const channelCrosstalk: Metric = {
  id: 'channel-crosstalk',
  title: 'Crosstalk into dark channels',
  family: 'colour',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [],
  source: 'common-practice',
  blindTo: ['time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const { channels } = observation.commanded;
    const asked = (channel: CommandedChannel) =>
      commandedMean({ ...observation, of: channel.channel }, observation.window);
    const lit = shares(
      observation,
      channels.filter((channel) => asked(channel) > 0),
    );
    if (!isMeasurable(lit)) return lit;
    const dark = shares(
      observation,
      channels.filter((channel) => asked(channel) <= 0),
    );
    if (!isMeasurable(dark)) return dark;
    if (lit.length === 0 || dark.length === 0) {
      const note = 'crosstalk needs a channel that is commanded dark beside one that is lit';
      return notMeasurable('out-of-domain', { note });
    }
    const source = brightest(lit);
    if (source.value <= 5 * source.standard) {
      return notMeasurable('dark', { note: `${source.channel} is commanded and gives no light` });
    }
    const worst = brightest(dark);
    const value = Math.max(0, worst.value) / source.value;
    const noise = Math.max(...dark.map(({ standard }) => standard)) / source.value;
    const notes = { into: worst.channel, from: source.channel };
    return measured(
      value,
      evidence ? { charts: [], notes } : noEvidence,
      [{ name: 'scatter within the window', standard: noise, isNoise: true }],
      2 * noise,
    );
  },
};

/** A channel's current relative to its nominal one. */
interface Share extends Omit<MeanLevel, 'edges'> {
  readonly channel: string;
}

function shares(
  observation: Observation,
  channels: readonly CommandedChannel[],
): readonly Share[] | NotMeasurable {
  const found: Share[] = [];
  for (const { channel, maxCurrent } of channels) {
    const level = meanLevel({ ...observation, of: channel }, needs, observation.window);
    if (!isMeasurable(level)) return level;
    const standard = Math.hypot(level.standard, level.edges) / maxCurrent;
    found.push({ channel, value: level.value / maxCurrent, standard });
  }
  return found;
}

function brightest([first, ...others]: readonly Share[]): Share {
  const none: Share = { channel: '', value: 0, standard: 0 };
  return others.reduce((one, two) => (two.value > one.value ? two : one), first ?? none);
}
