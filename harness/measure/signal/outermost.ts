import { valueAt } from './samples.ts';

/** A point is kept that is outermost of its group in one of these directions, either way. */
const directions: readonly (readonly [number, number])[] = [
  [1, 0],
  [0, 1],
  [1, 1],
  [1, -1],
];

/**
 * Places of at most `most` points of a path in a plane, in their order: of each group those that lie farthest out, so that a single
 * point off the path stays. A path that fits is kept whole. Both coordinates have one scale.
 */
export function outermostPoints(x: Float64Array, y: Float64Array, most: number): readonly number[] {
  if (x.length <= most) return Array.from({ length: x.length }, (_, k) => k);
  const groups = Math.max(1, Math.floor(most / (2 * directions.length)));
  return Array.from({ length: groups }, (_, k) => {
    const [from = 0, to = 0] = [k, k + 1].map((end) => Math.floor((end * x.length) / groups));
    return outermost(x, y, from, to);
  }).flat();
}

function outermost(x: Float64Array, y: Float64Array, from: number, to: number): readonly number[] {
  const kept = directions.flatMap(([along, up]) => {
    const reach = (k: number): number => along * valueAt(x, k) + up * valueAt(y, k);
    let [low, high] = [from, from];
    for (let k = from + 1; k < to; k++) {
      if (reach(k) < reach(low)) low = k;
      if (reach(k) > reach(high)) high = k;
    }
    return [low, high];
  });
  return [...new Set(kept)].sort((a, b) => a - b);
}
