import type {
  Commanded,
  CommandedChannel,
  DimmingCurve,
  Observation,
  Window,
} from '../observation.ts';
import { memoise } from '../signal/memoise.ts';

/** What of an observation says which light was commanded, and of what. */
export type CommandedSubject = Pick<Observation, 'of' | 'commanded'>;

/** The commanded channels that the subject is made of, each with its weight: one channel, or all of them by lumen. */
export function weightedChannels({ of, commanded }: CommandedSubject): readonly WeightedChannel[] {
  return weightedIn(commanded, of);
}

/** Remembered: a fit asks at every instant. */
const weightedIn = memoise(({ channels }: Commanded, of: string): readonly WeightedChannel[] => {
  const own = channels.find(({ channel }) => channel === of);
  if (own) return [{ channel: own, weight: 1 }];
  const full = channels.reduce((sum, { lumen }) => sum + lumen, 0);
  return channels.map((channel) => ({ channel, weight: channel.lumen / (full || 1) }));
});

export interface WeightedChannel {
  readonly channel: CommandedChannel;
  readonly weight: number;
}

/** Commanded level of the subject at an instant, relative to its full light. */
export function commandedLevel(observation: CommandedSubject, at: number): number {
  const { curve } = observation.commanded;
  let level = 0;
  for (const { channel, weight } of weightedChannels(observation))
    level += weight * channelLevel(channel, curve, at);
  return level;
}

/** Place of the first segment that ends after an instant, or else of the last: thousands after a storm of commands. */
function segmentAt(segments: CommandedChannel['segments'], at: number): number {
  let [from, to] = [0, segments.length - 1];
  while (from < to) {
    const middle = (from + to) >> 1;
    const segment = segments[middle];
    if (segment && at >= segment.to) from = middle + 1;
    else to = middle;
  }
  return from;
}

/** Commanded level of one channel at an instant, relative to its full light. */
export function channelLevel(
  { segments }: CommandedChannel,
  { kind }: DimmingCurve,
  at: number,
): number {
  const segment = segments[segmentAt(segments, at)];
  if (!segment) return 0;
  const { from, to, startLevel, endLevel } = segment;
  const part = to > from ? Math.min(1, Math.max(0, (at - from) / (to - from))) : 1;
  if (startLevel === endLevel) return endLevel;
  return kind === 'linear' || startLevel <= 0 || endLevel <= 0
    ? startLevel + (endLevel - startLevel) * part
    : startLevel * (endLevel / startLevel) ** part;
}

/** Mean of the commanded level over a window: by segment, so that short ones are not missed. */
export function commandedMean(observation: CommandedSubject, { from, to }: Window): number {
  if (!(to > from)) return commandedLevel(observation, from);
  const { of, commanded } = observation;
  return meanOver(commanded, of, from, to);
}

const meanOver = memoise((commanded: Commanded, of: string, from: number, to: number) => {
  const slices = 400;
  let sum = 0;
  for (let index = 0; index < slices; index++) {
    sum += commandedLevel({ of, commanded }, from + ((index + 0.5) / slices) * (to - from));
  }
  return sum / slices;
});

/** Instants at which the subject's commanded level changes its course, inside (from, to). */
export function turningPoints(
  observation: CommandedSubject,
  { from, to }: Window,
): readonly number[] {
  const all = weightedChannels(observation).flatMap(({ channel }) =>
    channel.segments.slice(1).map((segment) => segment.from),
  );
  const inside = all.filter((at) => at > from && at < to);
  return [...new Set(inside)].sort((a, b) => a - b);
}

/** Is the commanded level the same over the whole window? */
export function isSteady(observation: CommandedSubject, window: Window): boolean {
  return weightedChannels(observation).every(({ channel }) => {
    const met = channel.segments.filter(({ from, to }) => to > window.from && from < window.to);
    const [first] = met;
    return met.every(
      ({ startLevel, endLevel }) => startLevel === endLevel && startLevel === first?.startLevel,
    );
  });
}
