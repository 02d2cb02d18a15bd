import type { Heard } from '../bench/heard.ts';

/** Where the light is looked at: from an instant on, s, for so many stretches. */
export interface LookedAt {
  readonly from: number;
  readonly count: number;
}

/** s before and after everything that arrives in which every stretch is looked at. */
const before = 0.02;
const after = 5;
/** Later on, as long as fades may last, a short look a second (IEC 62386-102: 90.5 s). */
const longestFade = 100;
const glance = 0.02;

/** A story that is no longer than this is looked at as a whole, s. */
const short = 120;

/** All of a short story; of one that rests for hours, what lies about its events. */
export function lookedAt(
  heard: readonly Heard[],
  until: number,
  step: number,
): readonly LookedAt[] {
  if (until <= short) return [{ from: 0, count: Math.floor(until / step) }];
  const wanted = heard.flatMap(({ at }) => [
    [at - before, at + after] as const,
    ...Array.from({ length: longestFade - after }, (_, second) => {
      const from = at + after + second;
      return [from, from + glance] as const;
    }),
  ]);
  const sorted = [[0, after] as const, ...wanted, [until - 1, until] as const]
    .map(([from, to]) => [Math.max(0, from), Math.min(until, to)] as const)
    .filter(([from, to]) => to - from > step)
    .sort(([one], [other]) => one - other);
  const merged: [number, number][] = [];
  for (const [from, to] of sorted) {
    const last = merged.at(-1);
    if (last && from <= last[1] + step) last[1] = Math.max(last[1], to);
    else merged.push([from, to]);
  }
  return merged.map(([from, to]) => {
    const first = Math.ceil(from / step);
    return { from: first * step, count: Math.max(0, Math.floor(to / step) - first) };
  });
}
