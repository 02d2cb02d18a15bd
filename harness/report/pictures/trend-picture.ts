import { extent } from 'd3-array';
import { scalePoint } from 'd3-scale';
import { plainLine } from '../../files/plain-text.ts';
import type { JudgedTrend, TrendPoint, TrendSeries } from '../../record/trend.ts';
import { type Html, html } from '../html/html.ts';
import { dayOf, ruleText } from '../words/trend-words.ts';
import { figureText, shownUnit, withUnit } from '../words/value-text.ts';
import { type AxisRange, type Scale, scaleOf, type Tick, ticksOf, tickText } from './axis.ts';
import {
  axes,
  headHeight,
  labelWidth,
  type Mark,
  markLines,
  markRows,
  type Plot,
  tenth,
} from './frame.ts';
import { verdictClass, verdictShape } from './verdict-shape.ts';

const plotHeight = 150;
const foot = 24;

/**
 * A metric over the runs: each value in the shape of its verdict with its uncertainty, the usual range of the process
 * as a band, the tolerance as lines, and marks where the build changed or a rule of the control chart fired. Runs stand
 * side by side at even distances, as in any control chart: the rules count runs, not days.
 */
export function trendPicture(trend: JudgedTrend, width: number): Html {
  const { series } = trend;
  const { points } = series;
  const range = valueRange(trend);
  const unit = shownUnit(series.unit, series.shown);
  const title = withUnit(plainLine(series.title), unit === '1' ? '' : `(${unit})`);
  const ticks = ticksOf(range, 5, (tick) => tickText(tick, series.unit, unit));
  const sides = { left: labelWidth(ticks), right: width - 10 };
  const x = runScale(points.length, sides.left, sides.right);
  const marks = markRows(marksOf(trend, x), title, sides);
  const top = headHeight + marks.height;
  const plot = { ...sides, top, bottom: top + plotHeight };
  const y = scaleOf(range, plot.bottom, plot.top);
  const days = { scale: x, ticks: dayTicks(points, width), title: '' };
  return html`
    <svg class="chart trend-picture ${width > 500 ? 'broad' : 'narrow'}" viewBox="0 0 ${width} ${plot.bottom + foot}" role="img" aria-label="${pictureWords(trend)}">
      ${usualRange(trend, y, plot)}
      ${axes(days, { scale: y, ticks, title }, plot)}
      ${levelLines(trend, range, y, plot)}
      ${markLines(marks.marks, plot.bottom)}
      ${valueLine(points, x, y)}
      ${points.map((point, index) => onePoint(point, x(index), y, plot.bottom))}
    </svg>`;
}

/** Places of runs by their index, with room for their shapes at the ends. */
function runScale(count: number, left: number, right: number): (index: number) => number {
  const indices = Array.from({ length: count }, (_, index) => index);
  const scale = scalePoint(indices, [left + 8, right - 8]);
  return (index) => scale(index) ?? left;
}

/** Values and the usual range in full; a tolerance that is far away is left out rather than flattening the values. */
function valueRange({ series, chart, measured }: JudgedTrend): AxisRange {
  const reached = measured.flatMap(({ value, expanded }) => [
    value - (expanded ?? 0),
    value + (expanded ?? 0),
  ]);
  const [low, high] = extent(chart ? [...reached, chart.lower, chart.upper] : reached);
  if (low === undefined) return { from: 0, to: 1, log: false };
  const span = high - low || Math.abs(high) || 1;
  const near = limitsOf(series).filter(
    (limit) => limit > low - 3 * span && limit < high + 3 * span,
  );
  const [from = low, to = high] = extent([low, high, ...near]);
  const air = (to - from || span) * 0.07;
  return { from: from - air, to: to + air, log: false };
}

/** Those of the newest run. */
function limitsOf({ points }: TrendSeries): number[] {
  const last = points.at(-1);
  return [last?.lower, last?.upper].filter((limit) => typeof limit === 'number');
}

function usualRange({ chart }: JudgedTrend, y: Scale, { left, right }: Plot): Html | null {
  if (!chart) return null;
  const d = `M${left} ${tenth(y(chart.upper))}H${right}V${tenth(y(chart.lower))}H${left}z`;
  return html`<path class="corridor" d="${d}"></path>`;
}

/** The tolerance, where it lies in the picture, and the mean. */
function levelLines(
  { series, chart }: JudgedTrend,
  range: AxisRange,
  y: Scale,
  plot: Plot,
): Html[] {
  const line = (role: string, value: number) =>
    html`<path class="${role}" d="M${plot.left} ${tenth(y(value))}H${plot.right}"></path>`;
  const limits = limitsOf(series).filter((limit) => limit >= range.from && limit <= range.to);
  const mean = chart ? [line('ideal', chart.centre)] : [];
  return [...limits.map((limit) => line('limit', limit)), ...mean];
}

/** A new build, and the first run at which each rule fired. */
function marksOf({ series, chart, measured }: JudgedTrend, x: (index: number) => number): Mark[] {
  const { points } = series;
  const builds = points.flatMap(({ build }, index): Mark[] =>
    index > 0 && build !== points[index - 1]?.build
      ? [{ place: x(index), label: plainLine(`build ${build}`), kind: 'build' }]
      : [],
  );
  // Numbers lead to the words above the picture, where there is room for them.
  const signals = (chart?.signals ?? []).flatMap(({ at }, k): Mark[] => {
    const point = measured[at];
    const place = point && x(points.indexOf(point));
    return place === undefined ? [] : [{ place, label: `▲ ${k + 1}`, kind: 'signal' }];
  });
  // Where every run has a build of its own (a nightly bench) only the signals tell anything.
  const told = builds.length > points.length / 3 ? signals : [...builds, ...signals];
  return told.sort((a, b) => a.place - b.place);
}

/** The day of every n-th run. */
function dayTicks(points: readonly TrendPoint[], width: number): Tick[] {
  const most = Math.max(1, Math.floor(width / 150));
  const step = Math.max(1, Math.ceil((points.length - 1) / most));
  return points.flatMap((point, at) => (at % step === 0 ? [{ at, label: dayOf(point) }] : []));
}

/** Broken where a run has no value. */
function valueLine(points: readonly TrendPoint[], x: (index: number) => number, y: Scale): Html {
  let pen = 'M';
  const places = points.map(({ value }, index) => {
    const place = value === null ? '' : `${pen}${tenth(x(index))} ${tenth(y(value))}`;
    pen = value === null ? 'M' : 'L';
    return place;
  });
  return html`<path class="trend-line" d="${places.join('') || 'M0 0'}"></path>`;
}

function onePoint(point: TrendPoint, x: number, y: Scale, bottom: number): Html {
  const { value, expanded, verdict } = point;
  const at = tenth(x);
  const place = value === null ? bottom - 6 : y(value);
  const reach = value === null || expanded === null ? 0 : place - y(value + expanded);
  const ends = `M${at} ${tenth(place + reach)}V${tenth(place - reach)}`;
  return html`
    <g class="trend-point ${verdictClass(verdict)}">
      ${reach > 1 && html`<path class="whisker" d="${ends}"></path>`}
      ${verdictShape(verdict, at, tenth(place), 3.6)}
    </g>`;
}

/** What the picture shows, for those who do not see it; the table beside it has every figure. */
function pictureWords({ series, chart, measured }: JudgedTrend): string {
  const [low, high] = extent(measured, ({ value }) => value);
  if (low === undefined) return `${series.title}: no run could measure it`;
  const figure = (value: number): string => figureText(value, series.unit, series.shown);
  const spread = `${series.title} over ${measured.length} runs, from ${figure(low)} to ${figure(high)}`;
  const signals = (chart?.signals ?? []).map(({ rule, at }) => {
    const day = dayOf(measured[at]);
    return `${ruleText[rule]} at ${day}`;
  });
  return plainLine([spread, ...signals].join('; '));
}
