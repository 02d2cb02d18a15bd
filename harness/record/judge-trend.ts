import { type ControlChart, controlChart, runsToLimit } from './control-chart.ts';
import type { TrendPoint, TrendSeries } from './trend-series.ts';

/** What a series says of the lamp before it fails. */
export interface JudgedTrend {
  readonly series: TrendSeries;
  /** Null with too few points. Indices of its signals are those of `measured`. */
  readonly chart: ControlChart | null;
  /** The points that have a value, oldest first. */
  readonly measured: readonly (TrendPoint & { readonly value: number })[];
  /** A rule fired on the last point, or lately: something changed. */
  readonly drifting: boolean;
  /** At the present slope; null where no drift heads for a limit. */
  readonly runsToLimit: number | null;
}

/** Holds a series against its own past; the tolerance of its youngest run is the limit that a drift heads for. */
export function judgeTrend(series: TrendSeries): JudgedTrend {
  const measured = series.points.filter(hasValue);
  const values = measured.map(({ value }) => value);
  const chart = controlChart(values);
  const drifting = (chart?.signals.length ?? 0) > 0;
  const last = measured.at(-1);
  const ahead = drifting && last ? runsToLimit(values, last) : null;
  return { series, chart, measured, drifting, runsToLimit: ahead };
}

function hasValue(point: TrendPoint): point is TrendPoint & { readonly value: number } {
  return point.value !== null;
}
