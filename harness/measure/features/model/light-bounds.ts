import type { ModelledLamp } from '../../modelled-lamp.ts';
import { memoise } from '../../signal/memoise.ts';
import { valueAt } from '../../signal/samples.ts';
import { type CommandedSubject, weightedChannels } from '../../subject/commanded-light.ts';

/** A grid of instants: cell k lasts from `from + k step` on. s */
export interface Grid {
  readonly from: number;
  readonly step: number;
  readonly cells: number;
}

/** What the model allows of the subject's light. */
export interface LightBoundsOnGrid {
  /** Mean of each bound over [from, to], s, inside the grid; relative to full light. */
  meanLow(from: number, to: number): number;
  meanHigh(from: number, to: number): number;
}

/**
 * Bounds of a subject's light, widened by what is not known of the instants (`doubt`, s, either way). Each cell has the widest bounds
 * of what was found at its edges.
 */
export function lightBounds(
  modelled: ModelledLamp,
  subject: CommandedSubject,
  { from, step, cells }: Grid,
  doubt: number,
): LightBoundsOnGrid {
  const weights: Weights = weightedChannels(subject).map(({ channel, weight }) => [
    channel.channel,
    weight,
  ]);
  const reach = Math.ceil(doubt / step);
  const { lows, highs } = sumsOn(modelled, JSON.stringify(weights), from, step, cells, reach);
  const mean = (sums: Float64Array) => (begin: number, end: number) =>
    (sumUpTo(sums, (end - from) / step) - sumUpTo(sums, (begin - from) / step)) *
    (step / (end - begin));
  return { meanLow: mean(lows), meanHigh: mean(highs) };
}

type GridKey = [weights: string, from: number, step: number, cells: number, reach: number];
type Weights = readonly (readonly [channel: string, weight: number])[];

/** Sum of the cells before a place, which may lie within one. */
function sumUpTo(sums: Float64Array, place: number): number {
  const inside = Math.min(Math.max(place, 0), sums.length - 1);
  const whole = Math.min(Math.floor(inside), sums.length - 2);
  const before = valueAt(sums, whole);
  return before + (inside - whole) * (valueAt(sums, whole + 1) - before);
}

/** Running sums over the cells, one more than cells. Asked for again and again by the budget, and dear. */
const sumsOn = memoise(
  // The arguments are compared one by one, so that they cannot be gathered in an object.
  (modelled: ModelledLamp, ...[weights, from, step, cells, reach]: GridKey) => {
    const edges = cells + 1 + 2 * reach;
    const low = new Float64Array(edges);
    const high = new Float64Array(edges);
    for (const [channel, weight] of JSON.parse(weights) as Weights) {
      for (let edge = 0; edge < edges; edge++) {
        const bounds = modelled.levelAt(channel, from + (edge - reach) * step);
        low[edge] = valueAt(low, edge) + weight * bounds.low;
        high[edge] = valueAt(high, edge) + weight * bounds.high;
      }
    }
    const width = 2 + 2 * reach;
    const highs = runningSums(slidingMost(high, width));
    const lows = runningSums(
      slidingMost(
        low.map((value) => -value),
        width,
      ).map((value) => -value),
    );
    return { lows, highs };
  },
);

/** Largest of each `width` neighbours: those of cell k begin at edge k. */
function slidingMost(values: Float64Array, width: number): Float64Array {
  const most = new Float64Array(values.length - width + 1);
  const places = new Int32Array(values.length);
  let [first, end] = [0, 0];
  for (let k = 0; k < values.length; k++) {
    while (end > first && valueAt(values, places[end - 1] ?? 0) <= valueAt(values, k)) end--;
    places[end++] = k;
    if ((places[first] ?? 0) <= k - width) first++;
    if (k >= width - 1) most[k - width + 1] = valueAt(values, places[first] ?? 0);
  }
  return most;
}

function runningSums(values: Float64Array): Float64Array {
  const sums = new Float64Array(values.length + 1);
  for (let k = 0; k < values.length; k++) sums[k + 1] = valueAt(sums, k) + valueAt(values, k);
  return sums;
}
