import { ascending } from 'd3-array';
import { parseQuantity } from '../units/parse-quantity.ts';

/** How the values that fail lie among all values of an axis: to one side of the others, or at every n-th. */
export type ValuePattern =
  /** The last that fails. */
  | { readonly kind: 'at most' | 'at least'; readonly value: string }
  /** The first that fails, and how many values further the next one is. */
  | { readonly kind: 'every'; readonly step: number; readonly value: string };

/** Fewer are no pattern. */
const fewestValues = 3;
const fewestRepeats = 3;

/** Null where the values have no order, or no pattern in it. */
export function patternOf(bad: readonly string[], good: readonly string[]): ValuePattern | null {
  const all = [...new Set([...bad, ...good])];
  if (bad.length === 0 || good.length === 0 || all.length < fewestValues || !areOrdered(all))
    return null;
  const sorted = all.sort((a, b) => ascending(figureOf(a), figureOf(b)));
  const places = sorted.flatMap((value, place) => (bad.includes(value) ? [place] : []));
  const [first = 0, last = 0] = [places[0], places.at(-1)];
  const isRun = last - first === places.length - 1;
  if (isRun && first === 0) return { kind: 'at most', value: sorted[last] ?? '' };
  if (isRun && last === sorted.length - 1) return { kind: 'at least', value: sorted[first] ?? '' };
  const step = (places[1] ?? 0) - first;
  const isEven = places.every((place, k) => place === first + k * step);
  // From the first to the last value, without one that is left out at either end.
  const reachesAll = first < step && last + step >= sorted.length;
  return isEven && reachesAll && step > 1 && places.length >= fewestRepeats
    ? { kind: 'every', step, value: sorted[first] ?? '' }
    : null;
}

/** Whether all values are figures. */
export function areOrdered(values: readonly string[]): boolean {
  return !values.map(figureOf).some(Number.isNaN);
}

function figureOf(text: string): number {
  const parsed = parseQuantity(text);
  return parsed.ok ? parsed.quantity.value : Number.NaN;
}
