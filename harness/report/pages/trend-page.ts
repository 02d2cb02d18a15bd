import type { JudgedTrend } from '../../record/judge-trend.ts';
import { shortId } from '../../record/run-id.ts';
import type { TrendPoint, TrendSeries } from '../../record/trend-series.ts';
import { formatMeasured } from '../../units/format-quantity.ts';
import { element, type Markup } from '../html/markup.ts';
import { trendPicture } from '../pictures/trend-picture.ts';
import { verdictLabel } from '../pictures/verdict-shape.ts';
import { chartLines, lastText } from '../text/trend-text.ts';
import { plainLine } from '../words/plain-text.ts';
import { shownUnit } from '../words/value-text.ts';
import { renderSheet } from './archive/sheet.ts';

/** Series with a picture; beyond these the page only says how many there are. */
export const shownTrends = 60;

/** Where a run can be opened from a trend; null where there is nothing to open. */
export type RunLink = (point: TrendPoint) => string | null;

/** Trends of one metric as one HTML file without any script or request; series that changed come first. */
export function renderTrendPage(trends: readonly JudgedTrend[]): string {
  const { title, lamp } = trends[0]!.series;
  const lamps = new Set(trends.map(({ series }) => series.lamp));
  const heading = `${title}${lamps.size === 1 ? `, ${lamp}` : ''}`;
  return renderSheet({ title: heading, body: trendArticles(trends, () => null) });
}

export function trendArticles(trends: readonly JudgedTrend[], linkOf: RunLink): Markup[] {
  const ordered = [...trends].sort((a, b) => Number(b.drifting) - Number(a.drifting));
  const changed = trends.filter(({ drifting }) => drifting).length;
  const all = `${trends.length} series`;
  const left = trends.length - shownTrends;
  return [
    element(
      'p',
      { class: 'lead' },
      changed === 0 ? `${all}; none left its usual range.` : `${all}; ${changed} changed.`,
    ),
    legend(),
    ...ordered.slice(0, shownTrends).map((trend) => trendArticle(trend, linkOf)),
    ...(left > 0
      ? [
          element(
            'p',
            { class: 'aside' },
            `${left} more series are not drawn; ask for one claim or one channel.`,
          ),
        ]
      : []),
  ];
}

function legend(): Markup {
  return element(
    'p',
    { class: 'aside' },
    'Shaded: the usual range, mean ± 3 sigma of the first runs. Red lines: the tolerance of the youngest run, where it is near. Bars: expanded uncertainty. ▲ with a number: a rule of the control chart fired. Runs stand at even distances.',
  );
}

function trendArticle(trend: JudgedTrend, linkOf: RunLink): Markup {
  const { series } = trend;
  const { condition, repeat, during } = series;
  const where = [condition, repeat > 0 ? `repeat ${repeat + 1}` : '', during ?? '']
    .filter(Boolean)
    .join(', ');
  return element(
    'article',
    { class: 'trend' },
    element('h2', {}, plainLine(`${series.spec}, ${series.of}`)),
    element('p', { class: 'aside' }, plainLine([where, series.lamp].filter(Boolean).join('; '))),
    element('p', {}, plainLine(`Last: ${lastText(trend)}`)),
    element(
      'ul',
      { class: 'remarks' },
      numberedSignals(chartLines(trend)).map((line) => element('li', {}, line)),
    ),
    trendPicture(trend, 960),
    trendPicture(trend, 360),
    element(
      'details',
      { class: 'capture' },
      element('summary', {}, `${series.points.length} runs as a table`),
      pointTable(series, linkOf),
    ),
  );
}

/** Signals are numbered as the picture numbers them. */
function numberedSignals(lines: readonly string[]): string[] {
  let count = 0;
  return lines.map((line) => (line.startsWith('▲') ? `▲ ${++count}${line.slice(1)}` : line));
}

function pointTable(series: TrendSeries, linkOf: RunLink): Markup {
  const shown = shownUnit(series.unit, series.shown);
  const rows = [...series.points].reverse().map((point) => {
    const { value, expanded, id, started, build, verdict } = point;
    const link = linkOf(point);
    const figure =
      value === null ? 'not measurable' : formatMeasured(value, expanded ?? 0, series.unit, shown);
    return element(
      'tr',
      {},
      element(
        'th',
        { scope: 'row' },
        link ? element('a', { href: link }, shortId(id)) : shortId(id),
      ),
      element('td', {}, started.slice(0, 16).replace('T', ' ')),
      element('td', {}, plainLine(build)),
      element('td', {}, figure),
      element('td', {}, verdictLabel(verdict)),
    );
  });
  const head = ['Run', 'Started (UTC)', 'Build', 'Value', 'Verdict'];
  return element(
    'div',
    { class: 'table', tabindex: 0, role: 'region', 'aria-label': 'values' },
    element(
      'table',
      {},
      element(
        'thead',
        {},
        element(
          'tr',
          {},
          head.map((name) => element('th', { scope: 'col' }, name)),
        ),
      ),
      element('tbody', {}, rows),
    ),
  );
}
