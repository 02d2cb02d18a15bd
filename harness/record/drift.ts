import { median } from 'd3-array';
import { marginOf, type Tolerance, toleranceSize } from './margin.ts';

/** One run's value with its expanded uncertainty and its limits, SI. */
interface DriftPoint extends Tolerance {
  /** Null where it could not be measured. */
  readonly value: number | null;
  readonly expanded: number | null;
}

/** How a metric moves over the runs. */
export interface Drift {
  /** SI, from the first run to the last: the slope of one step times the number of steps. */
  readonly change: number;
  /** Its size as a share of the newest run's tolerance (see `toleranceSize`); null where that has no width. */
  readonly share: number | null;
  /** Whether less of the tolerance is left at its end than at its beginning; null where there is no limit. */
  readonly course: 'worse' | 'better' | 'level' | null;
  /** The change is larger than the expanded uncertainty of the difference of first and last value; null where that is not known. */
  readonly isBeyondUncertainty: boolean | null;
}

/** Of fewer values the median slope is mostly luck. Common practice, no source. */
export const fewestForDrift = 4;
/** The slopes of all pairs are looked at: of more runs only the newest count. */
const mostForDrift = 200;

/**
 * Drift of a series by the Theil-Sen estimator: the median of the slopes between all pairs of runs, which one run in four may spoil
 * without moving it far. Runs count as evenly spaced; those without a value are passed over.
 *
 * Input: points in time order, SI. Null for fewer than `fewestForDrift` values.
 * Source: Theil 1950; Sen 1968, J. Am. Stat. Assoc. 63, 1379-1389 (from memory).
 */
export function driftOf(points: readonly DriftPoint[]): Drift | null {
  const recent = points
    .slice(-mostForDrift)
    .flatMap(({ value, ...point }, place) => (value === null ? [] : [{ ...point, place, value }]));
  const [first, last] = [recent[0], recent.at(-1)];
  if (!first || !last || recent.length < fewestForDrift) return null;
  const slope = median(slopesOf(recent)) ?? Number.NaN;
  const level = median(recent, ({ place, value }) => value - slope * place) ?? Number.NaN;
  const change = slope * (last.place - first.place);
  if (!Number.isFinite(change) || !Number.isFinite(level)) return null;
  const size = toleranceSize(last);
  const expanded =
    first.expanded === null || last.expanded === null
      ? null
      : Math.hypot(first.expanded, last.expanded);
  return {
    change,
    share: size === null ? null : Math.abs(change) / size,
    course: courseOf(level + slope * first.place, level + slope * last.place, last),
    isBeyondUncertainty: expanded === null ? null : Math.abs(change) > expanded,
  };
}

function slopesOf(points: readonly { readonly place: number; readonly value: number }[]): number[] {
  return points.flatMap((a, k) =>
    points.slice(k + 1).map((b) => (b.value - a.value) / (b.place - a.place)),
  );
}

function courseOf(from: number, to: number, tolerance: Tolerance): Drift['course'] {
  const [before, after] = [from, to].map((value) => marginOf({ ...tolerance, value }));
  if (
    !Number.isFinite(before) ||
    !Number.isFinite(after) ||
    before === undefined ||
    after === undefined
  )
    return null;
  // Rounding is no drift.
  if (Math.abs(after - before) <= 1e-9 * Math.max(1, Math.abs(before))) return 'level';
  return after < before ? 'worse' : 'better';
}
