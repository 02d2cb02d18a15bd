import { valueAt } from './samples.ts';
/**
 * Levels exceeded for a given part of the time, interpolated between the sorted values.
 *
 * @param levels sorted ascending in place
 */
export function exceedance(levels: Float64Array): (part: number) => number {
  levels.sort();
  const last = levels.length - 1;
  return (part) => {
    const at = Math.min(last, Math.max(0, (1 - part) * last));
    const below = Math.floor(at);
    const above = Math.min(last, below + 1);
    return (
      valueAt(levels, below) + (at - below) * (valueAt(levels, above) - valueAt(levels, below))
    );
  };
}
