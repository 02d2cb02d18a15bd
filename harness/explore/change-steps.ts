import type { WrittenStep } from '../plan/verbs/verb.ts';

/** A sequence made of kept ones and of a freshly drawn one, by a few random changes. `draw` gives 0..1, below 1. */
export function changeSteps(
  kept: readonly (readonly WrittenStep[])[],
  fresh: readonly WrittenStep[],
  draw: () => number,
  longest: number,
): readonly WrittenStep[] {
  const pick = <T>(list: readonly T[]): T | undefined => list[Math.floor(draw() * list.length)];
  let steps = pick(kept) ?? fresh;
  const times = 1 + Math.floor(4 * draw());
  for (let change = 0; change < times; change++) {
    const at = Math.floor(draw() * (steps.length + 1));
    const kind = draw();
    if (kind < 0.25) steps = steps.toSpliced(at, 1 + Math.floor(3 * draw()));
    else if (kind < 0.6) steps = steps.toSpliced(at, 0, ...some(fresh, draw));
    else if (kind < 0.75) steps = steps.toSpliced(at, 0, ...some(steps, draw));
    else if (kind < 0.9) steps = [...steps.slice(0, at), ...some(pick(kept) ?? fresh, draw)];
    else steps = steps.toSpliced(at, 2, ...some(fresh, draw));
  }
  return steps.length === 0 ? fresh : steps.slice(0, longest);
}

/** A stretch of up to four steps. */
function some(steps: readonly WrittenStep[], draw: () => number): readonly WrittenStep[] {
  const from = Math.floor(draw() * steps.length);
  return steps.slice(from, from + 1 + Math.floor(4 * draw()));
}
