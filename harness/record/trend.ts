import type { Verdict } from '../verdict/verdict.ts';
import { type ControlChart, controlChart, runsToLimit } from './control-chart.ts';
import { type Drift, driftOf } from './drift.ts';

/** One run's finding in a trend. */
export interface TrendPoint {
  readonly id: string;
  readonly folder: string;
  readonly started: string;
  readonly build: string;
  /** SI; null where it could not be measured. */
  readonly value: number | null;
  readonly expanded: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly verdict: Verdict;
}

/** One metric of one subject under one condition, over the runs. */
export interface TrendSeries {
  readonly metric: string;
  readonly title: string;
  readonly lamp: string;
  readonly spec: string;
  readonly condition: string;
  readonly repeat: number;
  readonly of: string;
  readonly during: string | null;
  readonly ordinal: number;
  readonly unit: string;
  readonly shown: string;
  /** Oldest first. */
  readonly points: readonly TrendPoint[];
}

/** What a series says of the lamp before it fails. */
export interface JudgedTrend {
  readonly series: TrendSeries;
  /** Null with too few points. Indices of its signals are those of `measured`. */
  readonly chart: ControlChart | null;
  /** The points that have a value, oldest first. */
  readonly measured: readonly (TrendPoint & { readonly value: number })[];
  /** Null with too few points. */
  readonly drift: Drift | null;
  /** A rule of the control chart fired: something changed. */
  readonly drifting: boolean;
  /** At the present slope; null where no drift heads for a limit. */
  readonly runsToLimit: number | null;
}

/** Holds a series against its own past; the tolerance of its newest run is the limit that a drift heads for. */
export function judgeTrend(series: TrendSeries): JudgedTrend {
  const measured = series.points.filter(hasValue);
  const values = measured.map(({ value }) => value);
  const chart = controlChart(values);
  const drifting = (chart?.signals.length ?? 0) > 0;
  const last = measured.at(-1);
  const ahead = drifting && last ? runsToLimit(values, last) : null;
  return { series, chart, measured, drift: driftOf(series.points), drifting, runsToLimit: ahead };
}

function hasValue(point: TrendPoint): point is TrendPoint & { readonly value: number } {
  return point.value !== null;
}

/** A claim that both passed and failed though neither the build, the lamp, the rig nor the spec changed. */
export interface FlakyClaim {
  readonly spec: string;
  readonly lamp: string;
  readonly build: string;
  readonly rig: string;
  readonly runs: number;
  readonly passed: number;
  readonly failed: number;
  /** How often the verdict changed from one run to the next. */
  readonly turns: number;
  /** ISO 8601, of the newest run. */
  readonly last: string;
}
