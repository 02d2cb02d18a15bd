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

/** What the model allows of the subject's averaged light, relative to full light. */
export interface AveragedBounds {
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** Evenly spaced averages, each about its instant (s) and of one length (s). */
export interface Averages {
  readonly times: Float64Array;
  readonly width: number;
}

/**
 * Bounds of a subject's averaged light, all of it inside the grid, widened by what is not known of the instants (`doubt`, s, either way).
 * Each cell has the widest bounds of what was found at its edges.
 */
export function lightBounds(
  modelled: ModelledLamp,
  subject: CommandedSubject,
  { from, step, cells }: Grid,
  doubt: number,
  { times, width }: Averages,
): AveragedBounds {
  const weights: Weights = weightedChannels(subject).map(({ channel, weight }) => [
    channel.channel,
    weight,
  ]);
  const reach = Math.ceil(doubt / step);
  const sums = sumsOn(modelled, JSON.stringify(weights), from, step, cells, reach);
  return averaged(sums, times, width);
}

interface BoundSums {
  readonly from: number;
  readonly step: number;
  readonly lows: Float64Array;
  readonly highs: Float64Array;
}

/** Errors of the samples leave the instants as they are: the budget asks for the same averages again and again. */
function averaged(sums: BoundSums, times: Float64Array, width: number): AveragedBounds {
  const count = times.length;
  const [first, last] = [times[0] ?? 0, times[count - 1] ?? 0];
  const known = latest.get(sums);
  if (known && same(known.of, [first, last, count, width])) return known.bounds;
  const bounds = {
    low: meansAt(sums.lows, sums, times, width),
    high: meansAt(sums.highs, sums, times, width),
  };
  // Only one: the clock's error asks for others, and once.
  if (!known) latest.set(sums, { of: [first, last, count, width], bounds });
  return bounds;
}

const latest = new WeakMap<BoundSums, { of: readonly number[]; bounds: AveragedBounds }>();

function same(one: readonly number[], other: readonly number[]): boolean {
  return one.every((value, k) => value === other[k]);
}

/** Mean of a bound over `width` about each instant, never below 0. */
function meansAt(
  sums: Float64Array,
  { from, step }: BoundSums,
  times: Float64Array,
  width: number,
): Float64Array {
  const means = new Float64Array(times.length);
  const half = width / 2;
  for (let k = 0; k < means.length; k++) {
    const begin = valueAt(times, k) - half;
    const end = valueAt(times, k) + half;
    const sum = sumUpTo(sums, (end - from) / step) - sumUpTo(sums, (begin - from) / step);
    means[k] = Math.max(0, sum * (step / (end - begin)));
  }
  return means;
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
  (modelled: ModelledLamp, ...[weights, from, step, cells, reach]: GridKey): BoundSums => {
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
    return { from, step, lows, highs };
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
