import type { Handler } from 'hono';
import { confirmTrend } from '../../archive/confirm-trend.ts';
import { findFlaky } from '../../archive/find-flaky.ts';
import { findTrend, knownMetrics } from '../../archive/find-trend.ts';
import { judgeTrend } from '../../record/trend.ts';
import { alteredNote } from '../../report/pages/archive/altered-note.ts';
import { refusal } from '../../report/pages/archive/refusal.ts';
import { runHref } from '../../report/pages/archive/run-list.ts';
import { trendSearch } from '../../report/pages/archive/trend-search.ts';
import { trendSections } from '../../report/pages/trend-page.ts';
import { withIndex } from '../../workflow/stored-runs/with-index.ts';
import { digests } from './archived-run.ts';
import type { Desk } from './desk.ts';
import type { Served } from './guard.ts';
import { slimRecord } from './record-cache.ts';
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
    const {
      metrics,
      found: stored,
      flaky,
    } = await withIndex(desk.root, {}, (index) => ({
      metrics: knownMetrics(index),
      found: asked.metric === '' ? [] : findTrend(index, filterOf(asked)),
      flaky: asked.metric === '' ? findFlaky(index, { last: 500 }) : [],
    }));
    const { series, altered } = await confirmTrend(desk.root, stored, {
      hash: digests.sha256File,
      record: slimRecord,
    });
    const found =
      asked.metric === ''
        ? null
        : series.length === 0
          ? [
              refusal('No stored finding matches. Clear a field, or choose another metric.'),
              [...altered].map(([folder, seal]) => alteredNote(folder, seal)),
            ]
          : [
              [...altered].map(([folder, seal]) => alteredNote(folder, seal)),
              trendSections(series.map(judgeTrend), ({ folder }) => runHref(folder)),
            ];
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
