import { pairs } from 'd3-array';

/** A signal of the chart: the process is no longer what it was. */
export type ChartSignal =
  | { readonly rule: 'beyond limits'; readonly at: number }
  | { readonly rule: 'one side'; readonly at: number }
  | { readonly rule: 'steady climb' | 'steady fall'; readonly at: number };

export interface ControlChart {
  /** Mean of the baseline, and the natural limits of the process; nothing to do with the tolerance. */
  readonly centre: number;
  readonly lower: number;
  readonly upper: number;
  /** How many of the first points the limits rest on. */
  readonly baseline: number;
  /** In order of points; each rule once, where it first fired. */
  readonly signals: readonly ChartSignal[];
}

/** Fewer points give limits that are mostly luck. Common practice, no source. */
export const fewestPoints = 8;
/** The older half is the yardstick of the newer one, and never more than this: a drift must not hide itself. */
const mostBaseline = 20;
/** Expected range of two values of a normal process in units of its sigma, d2 for n = 2: 2/sqrt(pi) (computed). */
export const d2 = 2 / Math.sqrt(Math.PI);
const sigmas = 3;
const oneSide = 8;
const steady = 6;

/**
 * Individuals chart with moving-range limits: centre ± 3 * mean(|x[i] - x[i-1]|) / d2, over the first `baseline` points.
 *
 * Input: values in time order, all of one unit. Output: limits in that unit, and where a rule fired first.
 * `null` for fewer than `fewestPoints` values.
 * Rules: one point beyond the limits (Shewhart); eight in a row on one side of the centre (Western Electric handbook,
 * 1956, from memory); six in a row steadily climbing or falling (Nelson 1984, from memory).
 * Source: ISO 7870-2, individuals chart (from memory); NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2,
 * whose worked example is in the test (from memory).
 */
export function controlChart(
  values: readonly number[],
  baseline = Math.min(mostBaseline, Math.max(fewestPoints, Math.floor(values.length / 2))),
): ControlChart | null {
  if (values.length < fewestPoints) return null;
  const first = values.slice(0, baseline);
  const centre = mean(first);
  const ranges = pairs(first, (before, value) => Math.abs(value - before));
  const reach = (sigmas * mean(ranges)) / d2;
  const chart = { centre, lower: centre - reach, upper: centre + reach, baseline: first.length };
  return { ...chart, signals: signalsOf(values, chart) };
}

function signalsOf(
  values: readonly number[],
  { centre, lower, upper }: { centre: number; lower: number; upper: number },
): ChartSignal[] {
  // Rounding alone must not put equal values beyond limits of no width.
  const slack = 1e-9 * Math.max(Math.abs(lower), Math.abs(upper));
  const beyond = values.findIndex((value) => value < lower - slack || value > upper + slack);
  const sides = values.map((value) =>
    Math.abs(value - centre) <= slack ? 0 : value > centre ? 1 : -1,
  );
  const steps = [0, ...pairs(values, (before, value) => Math.sign(value - before))];
  const side = endOfStretch(sides, oneSide, () => true);
  // Six climbing points are five climbing steps.
  const climb = endOfStretch(steps, steady - 1, (sign) => sign > 0);
  const fall = endOfStretch(steps, steady - 1, (sign) => sign < 0);
  const signals: ChartSignal[] = [];
  if (beyond >= 0) signals.push({ rule: 'beyond limits', at: beyond });
  if (side >= 0) signals.push({ rule: 'one side', at: side });
  if (climb >= 0) signals.push({ rule: 'steady climb', at: climb });
  if (fall >= 0) signals.push({ rule: 'steady fall', at: fall });
  return signals.sort((a, b) => a.at - b.at);
}

/** Index of the point that completes the first stretch of `length` equal signs (none of them 0); -1 if there is none. */
function endOfStretch(
  signs: readonly number[],
  length: number,
  counts: (sign: number) => boolean,
): number {
  let run = 0;
  for (const [index, sign] of signs.entries()) {
    const counted = sign !== 0 && counts(sign);
    run = !counted ? 0 : sign === signs[index - 1] ? run + 1 : 1;
    if (run >= length) return index;
  }
  return -1;
}

/**
 * How many more runs until a drift meets the nearest limit that it is heading for; null where it heads for none.
 * Least-squares slope over the last `steady + 2` values, drawn on from the last value.
 */
export function runsToLimit(
  values: readonly number[],
  limits: { readonly lower: number | null; readonly upper: number | null },
): number | null {
  const recent = values.slice(-(steady + 2));
  const last = recent.at(-1);
  if (last === undefined || recent.length < 2) return null;
  const slope = slopeOf(recent);
  const limit = slope > 0 ? limits.upper : limits.lower;
  if (slope === 0 || limit === null) return null;
  // Rounding must not add a run.
  return Math.max(0, Math.ceil((limit - last) / slope - 1e-9));
}

function slopeOf(values: readonly number[]): number {
  const middle = (values.length - 1) / 2;
  const centre = mean(values);
  let above = 0;
  let below = 0;
  for (const [index, value] of values.entries()) {
    above += (index - middle) * (value - centre);
    below += (index - middle) ** 2;
  }
  return above / below;
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
