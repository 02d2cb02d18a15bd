import { type Band, dark, hull } from './band.ts';

/** A fade is straight in brightness (linear), in its logarithm (geometric), or in one of both, or between them. */
export type Shape = 'geometric' | 'linear' | 'either';

/** One quantity of the light on its way: relative light 0..1. */
export interface Course {
  readonly start: Band;
  readonly end: Band;
  /** After the fade; another than `end` only where the light goes off as the fade ends. */
  readonly final: Band;
}

/** A light that another one replaced. */
export interface Passed {
  /** The lamp may still be on its way from it until then, s. */
  readonly until: number;
  readonly level: Band;
  readonly channels: readonly Band[];
  /** It was fading then. */
  readonly fading: boolean;
  /** A glide from it was broken off by another one. */
  readonly brokenOff: boolean;
}

/** What the light does from one command to the next. */
export interface Piece {
  /** Index of the event that it follows; -1 before any. */
  readonly lead: number;
  readonly from: number;
  /** Duration of its fade, s; 0 is a jump. */
  readonly over: number;
  readonly shape: Shape;
  /** It shows so many seconds after `from` at the latest. */
  readonly latency: number;
  /** Relative tolerance of the time since `from`. */
  readonly dilation: number;
  /** Dim level of the whole lamp. */
  readonly level: Course;
  /** In the order of the lamp file. */
  readonly channels: readonly Course[];
  /** It was commanded on the DALI bus, whose queries are answered by it from `from` on. */
  readonly onBus: boolean;
  /** Why its bounds lie apart; null where they do not. */
  readonly why: string | null;
  /** Where it may still be on its way from: slots may be glided to. Null where it jumps, or fades. */
  readonly glide: readonly Passed[] | null;
  /** What it replaced, and may still have to be seen on the lamp: a command may overtake a jump that has not been shown. */
  readonly replaces: readonly Passed[];
  /** What the light may pass through on the way to it. */
  readonly via?: Piece;
}

export function still(band: Band): Course {
  return { start: band, end: band, final: band };
}

/** Bounds of a course at every instant from `first` to `last`, s. */
export function courseWithin(piece: Piece, course: Course, first: number, last: number): Band {
  const end = piece.from + piece.over;
  if (first >= end) return course.final;
  const one = bandAt(piece, course, first);
  if (last < end) return hull(one, bandAt(piece, course, last));
  return hull(one, course.end, course.final);
}

function bandAt({ from, over, shape }: Piece, { start, end }: Course, at: number): Band {
  const part = Math.min(1, Math.max(0, (at - from) / over));
  // The straight line in brightness is never below the one in its logarithm.
  const under = shape === 'either' ? 'geometric' : shape;
  const above = shape === 'either' ? 'linear' : shape;
  return {
    low: between(under, start.low, end.low, part) ?? Math.min(start.low, end.low),
    high: between(above, start.high, end.high, part) ?? Math.max(start.high, end.high),
  };
}

/** Null where the way from or to darkness is not known. */
function between(
  shape: Exclude<Shape, 'either'>,
  start: number,
  end: number,
  part: number,
): number | null {
  if (start === end || part === 0) return start;
  if (part === 1) return end;
  if (shape === 'linear') return start + (end - start) * part;
  return start > 0 && end > 0 ? start * (end / start) ** part : null;
}

/**
 * Ends of a fade: a dark end counts as the floor, or as the other end where that is lower. A light that fades to dark goes
 * off as the fade ends.
 */
export function fadeCourse(start: Band, end: Band, floor: Band): Course {
  const none = (band: Band) => band.high === 0;
  if (none(start) && none(end)) return still(dark);
  const raised = (other: Band): Band => ({
    low: Math.min(floor.low, other.low),
    high: Math.min(floor.high, other.high),
  });
  if (none(start)) return { start: raised(end), end, final: end };
  if (none(end)) return { start, end: raised(start), final: dark };
  // A light that may be dark may start from the floor as well, and one that may go dark may go there first.
  const from = start.low === 0 ? hull(start, raised(end)) : start;
  const to = end.low === 0 ? hull(end, raised(start)) : end;
  return { start: from, end: to, final: end };
}
