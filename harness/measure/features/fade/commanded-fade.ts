import type { Observation, Segment, Window } from '../../observation.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';
import { type WeightedChannel, weightedChannels } from '../../subject/commanded-light.ts';

/** The one fade of a subject in its window, as it was commanded. */
export interface CommandedFade {
  /** Instants at which it is commanded to begin and to end, s. */
  readonly from: number;
  readonly to: number;
  /** Steady stretches before and after it, s; the record may reach beyond the window there. */
  readonly before: Window;
  readonly after: Window;
  /** Commanded level at its ends, relative to full light; 0 for a dark plateau. */
  readonly startPlateau: number;
  readonly endPlateau: number;
  /** Level at the ends of the ramp itself: the plateau's, or the floor where that is dark. */
  readonly startLevel: number;
  readonly endLevel: number;
  readonly logarithmic: boolean;
  /**
   * Share of the way in the dimming-curve domain at a share of the time, both 0..1: the identity for one channel,
   * a monotone curve for the mixed light of several.
   */
  course(part: number): number;
  /** The course is the identity. */
  readonly straight: boolean;
}

/** The fade, or why there is not exactly one that a straight-line fit could be held against. */
export function commandedFade(observation: Observation): CommandedFade | NotMeasurable {
  const { window, of } = observation;
  const moving = weightedChannels(observation).flatMap((part) =>
    fadesIn(part.channel.segments, window).map((segment) => ({ ...part, segment })),
  );
  const first = moving[0]?.segment;
  if (!first)
    return notMeasurable('no-fade', { note: `no fade of ${of} is commanded in the window` });
  const { from, to } = first;
  const same = moving.every(({ segment }) => near(segment.from, from) && near(segment.to, to));
  if (!same) {
    return notMeasurable('no-fade', { note: `more than one fade of ${of} in the window` });
  }
  const level = (part: number) =>
    levelOf(weightedChannels(observation), from + part * (to - from), observation);
  const before = steadyBefore(observation, from);
  const after = steadyAfter(observation, to);
  if (before === null || after === null) {
    return notMeasurable('no-fade', {
      note: 'another fade follows or goes before without a plateau',
    });
  }
  const plateaus = { startPlateau: level(-1e-9), endPlateau: level(1 + 1e-9) };
  const ends = { startLevel: level(0), endLevel: level(1) };
  const logarithmic = observation.commanded.curve.kind === 'logarithmic';
  const straight = moving.length === 1;
  const course = courseOf(level, logarithmic, straight);
  if (!course) {
    return notMeasurable('out-of-domain', {
      note: 'the mixed light does not rise or fall steadily; judge channel by channel',
    });
  }
  return { from, to, before, after, ...plateaus, ...ends, logarithmic, course, straight };
}

/** Instants closer than this are one. */
const instant = 1e-6;

function near(one: number, two: number): boolean {
  return Math.abs(one - two) <= instant;
}

function fadesIn(segments: readonly Segment[], window: Window): readonly Segment[] {
  return segments.filter(
    ({ from, to, startLevel, endLevel }) =>
      startLevel !== endLevel && from >= window.from - instant && from < window.to && to > from,
  );
}

/** Level of the subject with the segments' ends belonging to the ramp. */
function levelOf(all: readonly WeightedChannel[], at: number, { commanded }: Observation): number {
  return all.reduce((sum, { channel, weight }) => {
    const { segments } = channel;
    const inside = segments.filter(({ from, to }) => at >= from - 1e-12 && at <= to + 1e-12);
    const ramp = inside.find(({ startLevel, endLevel }) => startLevel !== endLevel);
    const segment = ramp ?? inside[0];
    return sum + (segment ? weight * along(segment, at, commanded.curve.kind) : 0);
  }, 0);
}

function along({ from, to, startLevel, endLevel }: Segment, at: number, kind: string): number {
  const part = Math.min(1, Math.max(0, (at - from) / (to - from)));
  return kind === 'linear' || startLevel <= 0 || endLevel <= 0
    ? startLevel + (endLevel - startLevel) * part
    : startLevel * (endLevel / startLevel) ** part;
}

/** The steady stretch that ends at `at`; null when a fade goes on until then, an empty one when nothing goes before. */
function steadyBefore(observation: Observation, at: number): Window | null {
  let from = 0;
  for (const { channel } of weightedChannels(observation)) {
    const last = channel.segments.findLast((segment) => segment.from < at - instant);
    if (last && last.startLevel !== last.endLevel) return null;
    if (last) from = Math.max(from, startOfSteady(channel.segments, last));
  }
  return { from: Math.min(from, at), to: at };
}

/** Neighbouring segments of one level are one plateau (a mark or a repeated command may split it). */
function startOfSteady(segments: readonly Segment[], last: Segment): number {
  const level = last.startLevel;
  const earlier = segments.slice(0, segments.indexOf(last));
  const before = earlier.findLastIndex(
    ({ startLevel, endLevel }) => startLevel !== level || endLevel !== level,
  );
  const [first = last] = earlier.slice(before + 1);
  return first.from;
}

function steadyAfter(observation: Observation, at: number): Window | null {
  let to = observation.commanded.duration;
  for (const { channel } of weightedChannels(observation)) {
    const next = channel.segments.filter((segment) => segment.to > at + instant);
    const [own] = next;
    if (!own) continue;
    if (own.startLevel !== own.endLevel) return null;
    const change = next.find(
      ({ startLevel, endLevel }) => startLevel !== own.endLevel || endLevel !== own.endLevel,
    );
    if (change) to = Math.min(to, change.from);
  }
  return { from: at, to: Math.max(at, to) };
}

/** Points at which the mixed light's way is tabulated. */
const tablePoints = 512;

function courseOf(
  level: (part: number) => number,
  logarithmic: boolean,
  single: boolean,
): ((part: number) => number) | null {
  if (single) return (part) => part;
  const table = new Float64Array(tablePoints + 1).map((_, index) => {
    const value = level(index / tablePoints);
    return logarithmic ? Math.log(value) : value;
  });
  const start = valueAt(table, 0);
  const span = valueAt(table, tablePoints) - start;
  const way = table.map((value) => (value - start) / span);
  const monotone = way.every((value, index) => index === 0 || value > valueAt(way, index - 1));
  if (!monotone || !Number.isFinite(span)) return null;
  return (part) => {
    const place = Math.min(tablePoints - 1, Math.max(0, Math.floor(part * tablePoints)));
    const low = valueAt(way, place);
    return low + (valueAt(way, place + 1) - low) * (part * tablePoints - place);
  };
}
