import type { Span } from '../pictures/chart-view.ts';

/** Zooming closer than this many times shows nothing new. */
const closest = 400;

/** The part of `view` that `factor` leaves, about a place 0..1 in it. */
export function zoomed(view: Span, factor: number, about: number, whole: Span): Span {
  const length = Math.max((whole.to - whole.from) / closest, (view.to - view.from) * factor);
  const centre = view.from + (view.to - view.from) * about;
  return { from: centre - length * about, to: centre + length * (1 - about) };
}

/** A view moved by a share of its length. */
export function moved({ from, to }: Span, by: number): Span {
  const shift = (to - from) * by;
  return { from: from + shift, to: to + shift };
}

/** A view inside the whole record, no longer than it. */
export function limited({ from, to }: Span, whole: Span): Span {
  const length = Math.min(to - from, whole.to - whole.from);
  const start = Math.min(Math.max(from, whole.from), whole.to - length);
  return { from: start, to: start + length };
}
