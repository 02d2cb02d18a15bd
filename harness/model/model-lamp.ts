import type { Heard } from '../bench/heard.ts';
import type { Lamp } from '../bench/lamp.ts';
import { type Allowances, allowancesOf } from './allowances.ts';
import type { Band } from './band.ts';
import { type StoryEnd, Telling } from './telling.ts';
import type { Rest, Timeline } from './timeline.ts';
import type { PossibleAnswer } from './world.ts';

/** What the lamp has to say after an event. */
export interface ExpectedAnswer {
  /** Index of the event. */
  readonly of: number;
  readonly link: 'console' | 'dali';
  /** One of these. */
  readonly oneOf: readonly PossibleAnswer[];
}

/** What a lamp has to do, by the standards and its lamp file. */
export interface ModelStory {
  /**
   * Bounds of a channel's light at an instant, relative to its full light. Fast where it is asked in rising order.
   * Throws RangeError for a channel that the lamp has not.
   */
  levelAt(channel: string, at: number): Band;
  /** Why the bounds of that instant lie apart, in words; null where they follow from the standards and the lamp file alone. */
  whyWide(at: number): string | null;
  /** The light at that instant, where it stands still; null where it may be on its way, or is not known. */
  restAt(at: number): Rest | null;
  /** Index of the event that the light follows at that instant; -1 before any. */
  leadAt(channel: string, at: number): number;
  readonly answers: readonly ExpectedAnswer[];
  /** For a story that goes on from here. */
  readonly end: StoryEnd;
}

/** What the lamp may differ by; `after` goes on where another story ended, and counts events and instants on from there. */
export type StoryOptions = Partial<Allowances> & { readonly after?: StoryEnd };

/**
 * Tells what the lamp has to do with all that it heard, up to `until` (s). IEC 62386-101, -102 and -209, ANSI E1.11 and E1.31, and the
 * lamp file; docs/model.md has the clauses. Cost goes by events, not by time. Events out of order throw RangeError.
 */
export function tellStory(
  lamp: Lamp,
  heard: readonly Heard[],
  until: number,
  { after, ...options }: StoryOptions = {},
): ModelStory {
  const telling = new Telling(lamp, allowancesOf(lamp, options), after ?? null);
  const first = after?.events ?? 0;
  const answers: ExpectedAnswer[] = [];
  for (const [index, event] of heard.entries()) {
    const possible = telling.hear(event);
    const link = answeringLink(event);
    const oneOf = possible.length > 0 ? possible : ['silence' as const];
    if (link) answers.push({ of: first + index, link, oneOf });
  }
  telling.passTime(until);
  return { ...lightOf(lamp, telling.timeline), answers, end: telling.end };
}

function lightOf(lamp: Lamp, timeline: Timeline): Omit<ModelStory, 'answers' | 'end'> {
  const places = new Map(lamp.channels.map(({ channel }, place) => [channel, place]));
  const placeOf = (channel: string): number => {
    const place = places.get(channel);
    if (place !== undefined) return place;
    const names = [...places.keys()].join(', ');
    throw new RangeError(`a channel of ${lamp.lamp} expected (${names}), ${channel} found`);
  };
  return {
    levelAt: (channel, at) => timeline.levelAt(placeOf(channel), at),
    whyWide: (at) => timeline.whyWide(at),
    restAt: (at) => timeline.restAt(at),
    leadAt(channel, at) {
      // All channels follow the same event; the name is looked at all the same.
      placeOf(channel);
      return timeline.leadAt(at);
    },
  };
}

/** The link on which an event may be answered; frames of control devices are for nobody here, and so is silence asked for. */
function answeringLink({ kind }: Heard): ExpectedAnswer['link'] | null {
  if (kind === 'console' || kind === 'console-bytes') return 'console';
  return kind === 'dali' ? 'dali' : null;
}
