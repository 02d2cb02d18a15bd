import type { Need } from '../../metric.ts';
import { fadeNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { type ObservedFade, observedFade } from './observed-fade.ts';

/** Every channel's LED current, or light of each channel alone, over one fade. */
export const channelsNeed: Need = { ...fadeNeed, scope: 'all-channels' };

/** One channel's part in a crossfade. */
export interface ChannelFade {
  readonly channel: string;
  readonly fade: ObservedFade;
}

/**
 * The fades of all channels whose level is commanded to change, at least two; or why there are none, with the channel that
 * cannot be fitted.
 */
export function channelFades(observation: Observation): readonly ChannelFade[] | NotMeasurable {
  const found: ChannelFade[] = [];
  for (const channel of fadingChannels(observation)) {
    const fade = observedFade({ ...observation, of: channel }, channelsNeed);
    if (!isMeasurable(fade)) {
      const note = fade.note?.includes(channel)
        ? fade.note
        : `${channel}: ${fade.note ?? ''}`.replace(/: $/, '');
      return { ...fade, note };
    }
    found.push({ channel, fade });
  }
  if (found.length >= 2) return found;
  const facts = { found: found.length, needed: 2, unit: '1', note: 'channels that fade' };
  return notMeasurable('no-fade', facts);
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
