import { combined } from './assess.ts';

/** One part of the uncertainty of a measurement, k = 1, in the metric's unit. */
export interface Part {
  readonly name: string;
  readonly standard: number;
  /** Of what may differ from one measurement to the next: `standard` without its allowance for few observations. */
  readonly random?: number | undefined;
}

/** What one measurement of a quantity found. */
export interface Single {
  readonly value: number;
  readonly contributions: readonly Part[];
  readonly floor?: number | undefined;
}

export interface Combined {
  readonly value: number;
  /** Of the mean, k = 1. */
  readonly contributions: readonly Part[];
  readonly floor?: number;
  /** The values differ by more than their random parts explain: the lamp, or the bench, does not repeat. */
  readonly isUnsteady: boolean;
}

/**
 * Several measurements of one quantity as one.
 *
 * The value is the plain mean: weights that are told from the records would favour the quiet ones. What is the same in all
 * measurements (scale, zero, clock, instants, drift of the bench) does not fall with their number: each contribution is the mean of
 * those of the single measurements, as for a correlation of 1. Of the random part only what was seen to scatter falls with the root of
 * the number: the experimental standard deviation of the mean, s/√n. What was taken for random and did not show (a
 * ripple that keeps step with the stimulus, a rounding) is taken to be the same in all. Values that scatter more than the random part
 * count with their own scatter.
 *
 * Inputs: at least one measurement, in one unit. Output: value and contributions in that unit.
 * Source: JCGM 100:2008 4.2.2, 4.2.3 (mean and its experimental standard deviation), 5.1.2, 5.2.2 note 1 (correlation of 1). Clause numbers
 * from memory; that the rest of the random part counts as common is our own, and `docs/repeating.md` says what it does to the risks.
 */
export function combine(all: readonly Single[]): Combined {
  const count = all.length;
  const value = mean(all.map((one) => one.value));
  const floors = all.flatMap(({ floor }) => (floor === undefined ? [] : [floor]));
  const known = floors.length > 0 && { floor: Math.max(...floors) };
  const [first] = all;
  if (count === 1 && first)
    return { value, contributions: first.contributions, ...known, isUnsteady: false };
  const claimed = mean(all.map((one) => randomPart(one) ** 2));
  const allowed = mean(all.map((one) => combined(one.contributions.filter(isRandom)) ** 2));
  const square = all.reduce((sum, one) => sum + (one.value - value) ** 2, 0) / (count - 1);
  const hidden = Math.max(0, claimed - square);
  const contributions = [
    ...commonParts(all),
    { name: 'random, but alike in all measurements', standard: Math.sqrt(hidden) },
    {
      name: `scatter of ${count} measurements`,
      standard: Math.sqrt(square / count),
    },
  ];
  return {
    value,
    contributions: contributions.filter(({ standard }) => standard > 0),
    ...known,
    isUnsteady: square > allowed * mostOfClaimed(count - 1),
  };
}

/** Standard uncertainty of what may differ from one measurement to the next, without allowances: there are more observations now. */
function randomPart({ contributions }: Pick<Single, 'contributions'>): number {
  return Math.hypot(...contributions.map(({ random = 0 }) => random));
}

function isRandom({ random }: Part): boolean {
  return random !== undefined;
}

/**
 * Whether another `again` measurements can bring the uncertainty of the combined value below that of a single one, at the coverage
 * that each of the two is judged with: where most of it is common to all measurements, they cannot.
 */
export function canNarrow(
  { contributions }: Pick<Single, 'contributions'>,
  {
    again,
    single,
    looks,
  }: { readonly again: number; readonly single: number; readonly looks: number },
): boolean {
  const random = randomPart({ contributions });
  const common = combined(contributions.filter((part) => !isRandom(part)));
  const least = Math.hypot(common, random / Math.sqrt(again + 1));
  return looks * least < single * combined(contributions);
}

/** Each contribution under its name, in the order in which they are met. */
function commonParts(all: readonly Single[]): Part[] {
  const sums = new Map<string, number>();
  for (const { contributions } of all)
    for (const { name, standard } of contributions.filter((part) => !isRandom(part)))
      sums.set(name, (sums.get(name) ?? 0) + standard);
  return [...sums].map(([name, sum]) => ({ name, standard: sum / all.length }));
}

/**
 * By how much a variance with so many degrees of freedom may exceed the true one, 99 %: chi-squared over its degrees of freedom.
 * Source: Wilson and Hilferty 1931 (from memory); from 1 degree on within 1 % of the table.
 */
function mostOfClaimed(freedom: number): number {
  const part = 2 / (9 * freedom);
  return (1 - part + quantile99 * Math.sqrt(part)) ** 3;
}

/** Of the standard normal distribution, 99 %. */
const quantile99 = 2.3263;

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
