import type { Lamp } from '../bench/lamp.ts';
import type { LampTarget } from '../bench/ports.ts';
import type { Commanded, Segment, Window } from '../measure/observation.ts';
import { type Mix, mixOf } from './mix.ts';

/**
 * Tracks what the light should do as commands are given. A channel's brightness is dim level times intensity;
 * a fade is straight in the dimming-curve domain, that is geometric in brightness on a logarithmic curve. An end that
 * is dark counts as the floor (the curve's bottom, or the other end where that is lower): a dark channel starts its
 * fade there, and one that is faded to dark goes off when the fade has ended. A command given in mid-fade starts from
 * the brightness of that instant.
 */
export class CommandedLight {
  readonly #lamp: Lamp;
  readonly #segments = new Map<string, Segment[]>();
  readonly #marks: { name: string; at: number }[] = [];
  #target: LampTarget;
  #changedAt: number | null = null;
  readonly #supplyChanges: Window[] = [];
  #standardInstant = 0;
  #standardStart = 0;

  constructor(lamp: Lamp) {
    this.#lamp = lamp;
    const dark = lamp.channels.map(({ channel }) => [channel, 0] as const);
    this.#target = { level: 0, intensities: Object.fromEntries(dark) };
    for (const { channel } of lamp.channels) {
      this.#segments.set(channel, [
        { from: 0, to: Number.POSITIVE_INFINITY, startLevel: 0, endLevel: 0 },
      ]);
    }
  }

  /** The last target that was commanded. */
  get target(): LampTarget {
    return this.#target;
  }

  /** A partial command completed with what held before. */
  complete(change: { readonly level?: number; readonly mix?: Mix }): LampTarget {
    const level = change.level ?? this.#target.level;
    if (!change.mix) return { level, intensities: this.#target.intensities };
    const named =
      'name' in change.mix ? mixOf(this.#lamp, change.mix.name) : change.mix.intensities;
    // A named mix is whole; a written one changes the channels that it names.
    const rest = 'name' in change.mix ? {} : this.#target.intensities;
    const intensities = this.#lamp.channels.map(
      ({ channel }) => [channel, named[channel] ?? rest[channel] ?? 0] as const,
    );
    return { level, intensities: Object.fromEntries(intensities) };
  }

  /** The target is taken at the instant `at` (s), all channels at once. */
  set(at: number, target: LampTarget): void {
    this.#changedAt = at;
    for (const [channel, segments] of this.#segments) {
      cut(segments, at, this.#lamp);
      const level = brightness(target, channel);
      segments.push({ from: at, to: Number.POSITIVE_INFINITY, startLevel: level, endLevel: level });
    }
    this.#target = target;
  }

  /** All channels leave for the target at `at` (s) and arrive `over` seconds later. */
  fade(at: number, target: LampTarget, over: number): void {
    if (over === 0) {
      this.set(at, target);
      return;
    }
    this.#changedAt = at;
    for (const [channel, segments] of this.#segments) {
      const now = cut(segments, at, this.#lamp);
      const end = brightness(target, channel);
      const to = at + over;
      const [startLevel, endLevel] = fadeEnds(now, end, this.#lamp.curve.bottom);
      segments.push({ from: at, to, startLevel, endLevel });
      segments.push({ from: to, to: Number.POSITIVE_INFINITY, startLevel: end, endLevel: end });
    }
    this.#target = target;
  }

  /** A command took effect at an instant that is known to `standard` (s, k = 1) only; the least known one counts for all. */
  knownTo(standard: number): void {
    this.#standardInstant = Math.max(this.#standardInstant, standard);
  }

  /** A record began at an instant that is known to `standard` (s, k = 1) only. */
  startKnownTo(standard: number): void {
    this.#standardStart = Math.max(this.#standardStart, standard);
  }

  /** The supply was told of a change, from when to when, s. */
  supplyChanged(change: Window): void {
    this.#supplyChanges.push(change);
  }

  mark(at: number, name: string): void {
    this.#marks.push({ name, at });
  }

  /** Instant of the change that was commanded last, s; null before any. */
  get changedAt(): number | null {
    return this.#changedAt;
  }

  /** When the supply had confirmed its last change, s; null before any, and where it takes effect at once. */
  get suppliedAt(): number | null {
    return this.#supplyChanges.at(-1)?.to ?? null;
  }

  /** When the last window opened, s; null before any. */
  get openedAt(): number | null {
    return this.#marks.at(-1)?.at ?? null;
  }

  /** Seconds between two instants in which any channel was commanded to be lit. */
  litBetween(from: number, to: number): number {
    const lit = [...this.#segments.values()]
      .flat()
      .filter(({ startLevel, endLevel }) => startLevel > 0 || endLevel > 0)
      .map((segment) => [Math.max(from, segment.from), Math.min(to, segment.to)] as const)
      .filter(([start, end]) => end > start)
      .sort(([one], [other]) => one - other);
    let [sum, reached] = [0, from];
    for (const [start, end] of lit) {
      sum += Math.max(0, end - Math.max(start, reached));
      reached = Math.max(reached, end);
    }
    return sum;
  }

  /** The last `count` marks open their windows at that instant, s, where it is later. */
  openLater(count: number, at: number): void {
    for (let place = Math.max(0, this.#marks.length - count); place < this.#marks.length; place++) {
      const mark = this.#marks[place];
      if (mark && mark.at < at) this.#marks[place] = { ...mark, at };
    }
  }

  /** The whole story, cut off at `duration` (s). */
  finish(duration: number): Commanded {
    const channels = this.#lamp.channels.map(({ channel, lumen, xy, maxCurrent }) => ({
      channel,
      lumen,
      xy,
      maxCurrent,
      segments: (this.#segments.get(channel) ?? [])
        .filter(({ from, to }) => to > from && from < duration)
        .map((segment) =>
          segment.to > duration ? shorten(segment, duration, this.#lamp) : segment,
        ),
    }));
    const supplyChanges = this.#supplyChanges.length > 0 ? [...this.#supplyChanges] : undefined;
    const story = {
      channels,
      marks: [...this.#marks],
      duration,
      curve: this.#lamp.curve,
      ...(supplyChanges && { supplyChanges }),
    };
    const standardInstant = Math.hypot(this.#standardInstant, this.#standardStart);
    return standardInstant > 0 ? { ...story, standardInstant } : story;
  }
}

/** Brightness of a channel under a target, 0..1 of its full light. */
function brightness(target: LampTarget, channel: string): number {
  return target.level * (target.intensities[channel] ?? 0);
}

/** The ends of a fade after dark ends were raised to the floor; both dark stays dark. */
export function fadeEnds(start: number, end: number, bottom: number): readonly [number, number] {
  if (start === 0 && end === 0) return [0, 0];
  const floor = Math.min(bottom, start === 0 ? end : start);
  return start === 0 ? [floor, end] : end === 0 ? [start, floor] : [start, end];
}

/** Brightness within a segment at an instant. */
export function levelAt(
  { from, to, startLevel, endLevel }: Segment,
  at: number,
  lamp: Lamp,
): number {
  if (startLevel === endLevel || at <= from) return startLevel;
  if (at >= to) return endLevel;
  const part = (at - from) / (to - from);
  if (lamp.curve.kind === 'linear') return startLevel + (endLevel - startLevel) * part;
  return startLevel * (endLevel / startLevel) ** part;
}

/** Ends what is under way at `at`, drops what was to come, and returns the brightness there. */
function cut(segments: Segment[], at: number, lamp: Lamp): number {
  let last = segments.pop();
  while (last && last.from >= at && segments.length > 0) last = segments.pop();
  if (!last) return 0;
  // A mark of the same instant may have left an empty segment at zero: the value holds all the same.
  segments.push(shorten(last, at, lamp));
  return levelAt(last, at, lamp);
}

function shorten(segment: Segment, to: number, lamp: Lamp): Segment {
  return { ...segment, to, endLevel: levelAt(segment, to, lamp) };
}
