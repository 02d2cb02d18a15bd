import type { HannTrack } from '../../analysis/hann-track.ts';
import type { Window } from '../../observation.ts';
import { quickselect } from '../../signal/quickselect.ts';
import { valueAt } from '../../signal/samples.ts';
import {
  type CommandedSubject,
  commandedLevel,
  turningPoints,
  weightedChannels,
} from '../../subject/commanded-light.ts';

/** The commanded level of a subject over time: s, and relative to its full light. */
export interface CommandedCourse {
  readonly x: readonly number[];
  readonly y: readonly number[];
}

/** So close before a jump its old level is read, s. */
const instant = 1e-9;
/** Points of a course that no few knees describe: mixed light, or a storm of commands. */
const points = 400;
const mostKnees = 100;

/**
 * The course as a line of few points: where it turns, twice where it jumps. Between them one channel is straight in the domain of its
 * curve; the mixed light of several is not, and has points all along.
 */
export function commandedCourse(subject: CommandedSubject, { from, to }: Window): CommandedCourse {
  const knees = turningPoints(subject, { from, to });
  const isMixed = weightedChannels(subject).length > 1 && knees.length > 0;
  const even =
    isMixed || knees.length > mostKnees
      ? Array.from({ length: points - 1 }, (_, k) => from + ((k + 1) * (to - from)) / points)
      : [];
  const turns = knees.length > mostKnees ? [] : knees.flatMap((at) => [at - instant, at]);
  const x = [from, ...[...even, ...turns].sort((a, b) => a - b), to - instant];
  return { x, y: x.map((at) => commandedLevel(subject, at)) };
}

/** Averages at this part of the brightest commanded level, or above, tell the scale. */
const bright = 0.9;

/**
 * What of a record stands for full light, in its unit: the median of measured over commanded where the command is brightest. A lamp that
 * is too bright or too dark as a whole is not told by it; where the light goes against its command is.
 */
export function fullLight(
  { times, values }: Pick<HannTrack, 'times' | 'values'>,
  subject: CommandedSubject,
): number {
  const levels = times.map((at) => commandedLevel(subject, at));
  const top = levels.reduce((most, level) => Math.max(most, level), 0);
  const ratios = values
    .map((value, k) => value / valueAt(levels, k))
    .filter((_, k) => top > 0 && valueAt(levels, k) >= bright * top);
  const full = ratios.length > 0 ? quickselect(ratios, ratios.length >> 1) : 0;
  return full > 0 ? full : Math.max(...values, Number.MIN_VALUE);
}
