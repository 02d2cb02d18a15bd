import { plainLine } from '../../files/plain-text.ts';
import { conditionWords } from '../../record/condition-words.ts';
import { shortId } from '../../record/ids.ts';
import type { JudgedTrend, TrendPoint, TrendSeries } from '../../record/trend.ts';
import { groupTrends, largestDriftFirst, type TrendGroup } from '../../record/trend-groups.ts';
import { type Content, type Html, html } from '../html/html.ts';
import { bulletList, scrolling, table } from '../html/table.ts';
import {
  type MultipleFrame,
  multipleFrame,
  multiplePicture,
  sparkPicture,
} from '../pictures/multiple-picture.ts';
import { trendPicture } from '../pictures/trend-picture.ts';
import { verdictLabel } from '../pictures/verdict-shape.ts';
import { counted, repeatText, unbroken, unitsKept } from '../words/prose.ts';
import { chartLines, driftMethod, driftText, lastText, leftText } from '../words/trend-words.ts';
import { uncertainText } from '../words/value-text.ts';
import { renderSheet } from './archive/sheet.ts';

/** Series of a group that are drawn; the page says how many more there are. */
const shownSeries = { claim: 60, metric: 12 } as const;
/** Series with a control chart and a table of runs, those of the largest drift. */
const shownCharts = 60;

/** Where a run can be opened from a trend; null where there is nothing to open. */
export type RunLink = (point: TrendPoint) => string | null;

/**
 * Trends as one HTML file without any script or request: a line a claim (a metric, where there are several), the largest drift first, with
 * its series folded beneath.
 */
export function renderTrendPage(trends: readonly JudgedTrend[]): string {
  const lamps = [...new Set(trends.map(({ series }) => series.lamp))];
  const titles = [...new Set(trends.map(({ series }) => series.title))];
  const title = (titles.length === 1 && titles[0]) || 'Trends';
  const heading = lamps.length === 1 ? `${title}, ${lamps[0]}` : title;
  return renderSheet({ title: heading, body: trendSections(trends, () => null) });
}

export function trendSections(trends: readonly JudgedTrend[], linkOf: RunLink): Content {
  const by = new Set(trends.map(({ series }) => series.metric)).size > 1 ? 'metric' : 'claim';
  const groups = groupTrends(trends, by);
  const changed = trends.filter(({ drifting }) => drifting).length;
  const found = changed === 0 ? 'none left its usual range' : `${changed} left the usual range`;
  const charted = new Set(largestDriftFirst(trends).slice(0, shownCharts));
  return [
    html`<p class="lead">${trends.length} series of ${counted(groups.length, by)}, the largest drift first; ${found}.</p>`,
    html`<p class="aside">${driftMethod}</p>`,
    groups.map((group) => groupSection(group, by, { charted, linkOf })),
    html`<p class="aside">${multipleLegend}</p>`,
    html`<p class="aside">${chartLegend}</p>`,
  ];
}

const multipleLegend =
  'Small pictures: values as shares of their tolerance, on one scale and over the same runs within a claim. Red lines: the limits; dashed: midway between them, or zero. Bars: expanded uncertainty. Beneath: the builds; dotted lines stand where they change. A triangle at an edge: the value lies beyond it.';
const chartLegend =
  'Control charts: shaded is the usual range, mean ± 3 sigma of the first runs; red lines are the tolerance of the newest run, where it is near. ▲ with a number: a rule of the chart fired. Runs are evenly spaced.';

interface Drawn {
  readonly charted: ReadonlySet<JudgedTrend>;
  readonly linkOf: RunLink;
}

/** One line, which opens: the claim and the series of it that drifts most. */
function groupSection(group: TrendGroup, by: 'claim' | 'metric', drawn: Drawn): Html {
  const { name, lamp, leading, trends } = group;
  const frame = multipleFrame(trends);
  const shown = trends.slice(0, shownSeries[by]);
  const left = trends.length - shown.length;
  const series = trends.length === 1 ? '' : `, the largest drift of ${trends.length} series`;
  return html`
    <details class="trend-group">
      <summary>
        <div class="drift"><p><b>${driftText(leading)}</b></p><p>${leftText(leading)}</p></div>
        <div class="words">
          <h2>${plainLine(name)}</h2>
          <p class="aside">${plainLine(`${leadingWords(leading, by)}${series}; ${lamp}`)}</p>
        </div>
        <p class="now">${nowWords(leading)}</p>
        <div>${sparkPicture(leading)}</div>
      </summary>
      <div class="multiples">${shown.map((trend) => trendArticle(trend, by, frame, drawn))}</div>
      ${left > 0 && html`<p class="aside">${left} more series that drift less are not drawn; ask for this ${by} alone.</p>`}
    </details>`;
}

function leadingWords({ series }: JudgedTrend, by: 'claim' | 'metric'): string {
  const place = placeOf(series);
  return by === 'claim' ? place : `${series.spec}: ${place}`;
}

function placeOf({ of, condition, repeat, during }: TrendSeries): string {
  const when = during === null ? '' : `during ${during}`;
  const words = [of, conditionWords(condition), when, repeatText(repeat)];
  return unitsKept(words.filter(Boolean).join(', '));
}

/** The verdict by shape and word, then the value. */
function nowWords({ series: { points, unit, shown } }: JudgedTrend): Content {
  const last = points.at(-1);
  return last && [verdictLabel(last.verdict), ' ', figureOf(last, unit, shown)];
}

function trendArticle(
  trend: JudgedTrend,
  by: 'claim' | 'metric',
  frame: MultipleFrame,
  { charted, linkOf }: Drawn,
): Html {
  const { series } = trend;
  const facts = [`drift ${driftText(trend)}`, leftText(trend)].filter(Boolean).join('; ');
  return html`
    <article class="trend">
      <h3>${plainLine(leadingWords(trend, by))}</h3>
      <p>${nowWords(trend)}</p>
      <p class="aside">${facts}</p>
      ${multiplePicture(trend, frame) ?? html`<p class="aside">No picture: the tolerance has no width.</p>`}
      ${
        charted.has(trend) &&
        html`
        <details class="capture">
          <summary>Control chart, ${counted(series.points.length, 'run')}</summary>
          <p>${plainLine(`Last: ${lastText(trend)}`)}</p>
          ${bulletList(numberedSignals(chartLines(trend)), 'remarks')}
          ${trendPicture(trend, 960)}
          ${trendPicture(trend, 360)}
          ${pointTable(trend, linkOf)}
        </details>`
      }
    </article>`;
}

/** Signals are numbered as the picture numbers them. */
function numberedSignals(lines: readonly string[]): string[] {
  let count = 0;
  return lines.map((line) => (line.startsWith('▲') ? `▲ ${++count}${line.slice(1)}` : line));
}

function pointTable({ series }: JudgedTrend, linkOf: RunLink): Html {
  const rows = [...series.points].reverse().map((point) => pointRow(series, point, linkOf(point)));
  // All charts may be open at once: the name has to tell the tables of a whole page apart.
  const name = plainLine(`values of ${series.spec}, ${series.metric}: ${placeOf(series)}`);
  return scrolling(name, table(['Run', 'Started (UTC)', 'Build', 'Value', 'Verdict'], rows));
}

function pointRow({ unit, shown }: TrendSeries, point: TrendPoint, link: string | null): Html {
  const { id, started, build, verdict } = point;
  const name = shortId(id);
  return html`
    <tr>
      <th scope="row">${link ? html`<a href="${link}">${name}</a>` : name}</th>
      <td>${started.slice(0, 16).replace('T', ' ')}</td>
      <td>${plainLine(build)}</td>
      <td>${figureOf(point, unit, shown)}</td>
      <td>${verdictLabel(verdict)}</td>
    </tr>`;
}

function figureOf({ value, expanded }: TrendPoint, unit: string, shown: string): string {
  return value === null ? 'not measurable' : unbroken(uncertainText(value, expanded, unit, shown));
}
