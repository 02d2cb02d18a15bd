import type { TrendPoint, TrendSeries } from '../record/trend.ts';
import type { RunIndex } from './open-index.ts';

export interface TrendFilter {
  /** Every metric where none is named. */
  readonly metric?: string | undefined;
  readonly spec?: string | undefined;
  readonly of?: string | undefined;
  readonly lamp?: string | undefined;
  /** ISO 8601 */
  readonly since?: string | undefined;
  /** The newest runs of each series. */
  readonly last: number;
  /** Runs with a seeded fault are left out unless this is set: they say nothing of the lamp. */
  readonly withFaults?: boolean | undefined;
}

type SeriesRow = Omit<TrendSeries, 'points'> & { readonly series: number };

/** Every series that fits, with its newest points. */
export function findTrend(index: RunIndex, filter: TrendFilter): TrendSeries[] {
  const tests: string[] = [];
  if (filter.metric !== undefined) tests.push('metric = @metric');
  if (filter.spec !== undefined) tests.push('spec = @spec');
  if (filter.of !== undefined) tests.push('of = @of');
  if (filter.lamp !== undefined) tests.push('lamp = @lamp COLLATE NOCASE');
  const rows = index
    .prepare(
      `SELECT series, metric, title, lamp, spec, condition, repeat, of, nullif(during, '') AS during, ordinal, unit, shown
       FROM series ${tests.length > 0 ? `WHERE ${tests.join(' AND ')}` : ''} ORDER BY series`,
    )
    .all(filter) as SeriesRow[];
  const points = index.prepare(
    `SELECT id, folder, started, build, value, expanded, lower, upper, f.verdict
     FROM finding f JOIN run USING (run)
     WHERE series = @series AND started >= @since AND proved AND faults <= @faults
     ORDER BY f.run DESC LIMIT @last`,
  );
  return rows.flatMap(({ series, ...row }) => {
    const found = points.all({
      series,
      since: filter.since ?? '',
      faults: filter.withFaults ? Number.MAX_SAFE_INTEGER : 0,
      last: filter.last,
    }) as TrendPoint[];
    return found.length > 0 ? [{ ...row, points: found.reverse() }] : [];
  });
}

/** Metrics that the index has findings of, for a sentence when one is asked for that it has not. */
export function knownMetrics(index: RunIndex): string[] {
  const query = index.prepare('SELECT DISTINCT metric FROM series ORDER BY metric').pluck();
  return query.all() as string[];
}
