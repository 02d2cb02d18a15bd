import type { TrendSeries } from '../../record/trend.ts';
import { csvText } from './csv.ts';

const header = [
  'started',
  'run',
  'lamp',
  'build',
  'metric',
  'spec',
  'condition',
  'repeat',
  'of',
  'during',
  'unit',
  'value',
  'expanded_uncertainty',
  'lower_limit',
  'upper_limit',
  'verdict',
];

/** Trends as CSV: one row per run and series, oldest first, figures in the SI unit of the column `unit`. */
export function renderTrendCsv(series: readonly TrendSeries[]): string {
  const rows = series.flatMap((one) =>
    one.points.map((point) => [
      point.started,
      point.id,
      one.lamp,
      point.build,
      one.metric,
      one.spec,
      one.condition,
      one.repeat,
      one.of,
      one.during,
      one.unit,
      point.value,
      point.expanded,
      point.lower,
      point.upper,
      point.verdict,
    ]),
  );
  return csvText([header, ...rows]);
}
