import type { Lamp } from '../bench/lamp.ts';
import type { Metric } from '../measure/metric.ts';
import type { Commanded, Window } from '../measure/observation.ts';
import type { Criterion } from './plan.ts';
import { markWindow } from './schedule.ts';

/**
 * Whom a criterion judges: `lamp` for a metric over all channels. `each-channel` of a fade's quantity means each channel
 * that fades: a crossfade leaves some where they are.
 */
export function judgedSubjects(
  { of, during }: Pick<Criterion, 'of' | 'during'>,
  { needs }: Pick<Metric, 'needs'>,
  lamp: Lamp,
  commanded: Commanded,
): readonly string[] {
  if (needs.scope === 'all-channels') return ['lamp'];
  if (of !== 'each-channel') return [of];
  const channels = lamp.channels.map(({ channel }) => channel);
  if (!needs.fade) return channels;
  const window = markWindow(commanded, during) ?? { from: 0, to: 0 };
  const fading = channels.filter((channel) => fadesWithin(commanded, channel, window));
  return fading.length > 0 ? fading : channels;
}

function fadesWithin(commanded: Commanded, name: string, { from, to }: Window): boolean {
  const segments = commanded.channels.find(({ channel }) => channel === name)?.segments ?? [];
  return segments.some(
    (segment) => segment.startLevel !== segment.endLevel && segment.from < to && segment.to > from,
  );
}
