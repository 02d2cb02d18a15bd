import type { Handler } from 'hono';
import { findFlaky } from '../../archive/find-flaky.ts';
import { findTrend, knownMetrics } from '../../archive/find-trend.ts';
import { judgeTrend } from '../../record/trend.ts';
import { refusal } from '../../report/pages/archive/refusal.ts';
import { runHref } from '../../report/pages/archive/run-list.ts';
import { trendSearch } from '../../report/pages/archive/trend-search.ts';
import { trendArticles } from '../../report/pages/trend-page.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { positiveWhole } from './runs.ts';
import { sendSheet } from './send.ts';

/** A metric over the runs. */
export function showTrend(desk: Desk): Handler<Served> {
  return async (c) => {
    const text = (name: string): string => c.req.query(name)?.trim() ?? '';
    const asked = {
      metric: text('metric'),
      spec: text('spec'),
      of: text('of'),
      lamp: text('lamp'),
      last: text('last'),
    };
    const { metrics, series, flaky } = await withIndex(desk.root, {}, (index) => ({
      metrics: knownMetrics(index),
      series: asked.metric === '' ? [] : findTrend(index, filterOf(asked)),
      flaky: asked.metric === '' ? findFlaky(index, { last: 500 }) : [],
    }));
    const found =
      asked.metric === ''
        ? null
        : series.length === 0
          ? refusal('No stored finding matches. Clear a field, or choose another metric.')
          : trendArticles(series.map(judgeTrend), ({ folder }) => runHref(folder));
    const title = series[0]?.title ?? 'Trends';
    return sendSheet(c, {
      title,
      place: 'Trends',
      body: trendSearch(asked, metrics, found, flaky),
    });
  };
}

function filterOf({
  metric,
  spec,
  of,
  lamp,
  last,
}: Readonly<Record<'metric' | 'spec' | 'of' | 'lamp' | 'last', string>>) {
  const given = (value: string): string | undefined => (value === '' ? undefined : value);
  return {
    metric,
    spec: given(spec),
    of: given(of),
    lamp: given(lamp),
    last: positiveWhole(last) ?? 60,
  };
}
