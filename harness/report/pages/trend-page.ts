import { plainLine } from '../../files/plain-text.ts';
import { shortId } from '../../record/ids.ts';
import type { JudgedTrend, TrendPoint, TrendSeries } from '../../record/trend.ts';
import { type Content, type Html, html } from '../html/html.ts';
import { bulletList, scrolling, table } from '../html/table.ts';
import { trendPicture } from '../pictures/trend-picture.ts';
import { verdictLabel } from '../pictures/verdict-shape.ts';
import { repeatText } from '../words/prose.ts';
import { chartLines, lastText } from '../words/trend-words.ts';
import { uncertainText } from '../words/value-text.ts';
import { renderSheet } from './archive/sheet.ts';

/** Series with a picture; beyond these the page only says how many there are. */
const shownTrends = 60;

/** Where a run can be opened from a trend; null where there is nothing to open. */
export type RunLink = (point: TrendPoint) => string | null;

/** Trends of one metric as one HTML file without any script or request; series that changed come first. */
export function renderTrendPage(trends: readonly JudgedTrend[]): string {
  const lamps = [...new Set(trends.map(({ series }) => series.lamp))];
  const title = trends[0]?.series.title ?? 'No trend';
  const heading = lamps.length === 1 ? `${title}, ${lamps[0]}` : title;
  return renderSheet({ title: heading, body: trendArticles(trends, () => null) });
}

export function trendArticles(trends: readonly JudgedTrend[], linkOf: RunLink): Content {
  const ordered = [...trends].sort((a, b) => Number(b.drifting) - Number(a.drifting));
  const changed = trends.filter(({ drifting }) => drifting).length;
  const found = changed === 0 ? 'none left its usual range.' : `${changed} changed.`;
  const left = trends.length - shownTrends;
  return [
    html`<p class="lead">${trends.length} series; ${found}</p>`,
    html`<p class="aside">${legend}</p>`,
    ordered.slice(0, shownTrends).map((trend) => trendArticle(trend, linkOf)),
    left > 0 &&
      html`<p class="aside">${left} more series are not drawn; choose one claim or one channel.</p>`,
  ];
}

const legend =
  'Shaded: the usual range, mean ± 3 sigma of the first runs. Red lines: the tolerance of the newest run, where it is near. Bars: expanded uncertainty. ▲ with a number: a rule of the control chart fired. Runs are evenly spaced.';

function trendArticle(trend: JudgedTrend, linkOf: RunLink): Html {
  const { series } = trend;
  const { spec, of, lamp, condition, repeat, during, points } = series;
  const where = [condition, repeatText(repeat), during].filter(Boolean).join(', ');
  return html`
    <article class="trend">
      <h2>${plainLine(`${spec}, ${of}`)}</h2>
      <p class="aside">${plainLine([where, lamp].filter(Boolean).join('; '))}</p>
      <p>${plainLine(`Last: ${lastText(trend)}`)}</p>
      ${bulletList(numberedSignals(chartLines(trend)), 'remarks')}
      ${trendPicture(trend, 960)}
      ${trendPicture(trend, 360)}
      <details class="capture">
        <summary>${points.length} runs as a table</summary>
        ${pointTable(series, linkOf)}
      </details>
    </article>`;
}

/** Signals are numbered as the picture numbers them. */
function numberedSignals(lines: readonly string[]): string[] {
  let count = 0;
  return lines.map((line) => (line.startsWith('▲') ? `▲ ${++count}${line.slice(1)}` : line));
}

function pointTable(series: TrendSeries, linkOf: RunLink): Html {
  const rows = [...series.points].reverse().map((point) => pointRow(series, point, linkOf(point)));
  return scrolling('values', table(['Run', 'Started (UTC)', 'Build', 'Value', 'Verdict'], rows));
}

function pointRow({ unit, shown }: TrendSeries, point: TrendPoint, link: string | null): Html {
  const { id, started, build, verdict, value, expanded } = point;
  const name = shortId(id);
  const figure = value === null ? 'not measurable' : uncertainText(value, expanded, unit, shown);
  return html`
    <tr>
      <th scope="row">${link ? html`<a href="${link}">${name}</a>` : name}</th>
      <td>${started.slice(0, 16).replace('T', ' ')}</td>
      <td>${plainLine(build)}</td>
      <td>${figure}</td>
      <td>${verdictLabel(verdict)}</td>
    </tr>`;
}
