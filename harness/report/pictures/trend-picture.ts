import type { JudgedTrend } from '../../record/judge-trend.ts';
import type { TrendPoint } from '../../record/trend-series.ts';
import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import { element, type Markup } from '../html/markup.ts';
import { ruleText } from '../text/trend-text.ts';
import { plainLine } from '../words/plain-text.ts';
import { figureText, shownUnit, withUnit } from '../words/value-text.ts';
import { type AxisScale, axisScale } from './axis-scale.ts';
import { verdictShape } from './verdict-shape.ts';

const charWidth = 7;
const lineHeight = 14;
const foot = 24;

/**
 * A metric over the runs: each value in the shape of its verdict with its uncertainty, the usual range of the process
 * as a band, the tolerance as lines, and marks where the build changed or a rule of the control chart fired. Runs stand
 * side by side at even distances, as in any control chart: the rules count runs, not days.
 */
export function trendPicture(trend: JudgedTrend, width: number): Markup {
  const { series, chart } = trend;
  const { points } = series;
  const range = valueRange(trend);
  const unit = shownUnit(series.unit, series.shown);
  const text = (value: number) => formatNumber(toShown(value, series.unit, unit), 6);
  const probe = axisScale({ ...range, log: false }, { start: 1, end: 0, ticks: 5 });
  const left = Math.max(34, ...probe.ticks.map((tick) => text(tick).length * charWidth + 10));
  const right = width - 10;
  const at = (index: number): number =>
    points.length < 2
      ? (left + right) / 2
      : left + 8 + (index / (points.length - 1)) * (right - left - 16);
  const marks = placedMarks(marksOf(trend), at, left, right);
  const top = 22 + marks.rows * lineHeight;
  const bottom = top + 150;
  const y = axisScale({ ...range, log: false }, { start: bottom, end: top, ticks: 5 });
  const levels = levelsOf(trend, y);
  return element(
    'svg',
    {
      class: `chart trend-picture ${width > 500 ? 'broad' : 'narrow'}`,
      viewBox: `0 0 ${width} ${bottom + foot}`,
      role: 'img',
      'aria-label': pictureWords(trend),
    },
    chart &&
      element('path', {
        class: 'corridor',
        d: `M${left} ${r(y.place(chart.upper))}H${right}V${r(y.place(chart.lower))}H${left}z`,
      }),
    y.ticks.map((tick) =>
      element(
        'g',
        { class: 'tick' },
        element('path', { d: `M${left} ${r(y.place(tick))}H${right}` }),
        element('text', { x: left - 6, y: r(y.place(tick) + 4), 'text-anchor': 'end' }, text(tick)),
      ),
    ),
    levels.map(({ role, value }) =>
      element('path', { class: role, d: `M${left} ${r(y.place(value))}H${right}` }),
    ),
    element('path', { class: 'axis', d: `M${left} ${top}V${bottom}H${right}` }),
    element(
      'text',
      { class: 'axis-word', x: 2, y: 12 },
      withUnit(plainLine(series.title), unit === '1' ? '' : `(${unit})`),
    ),
    dayTicks(points, at, bottom, right),
    marks.placed.map(({ place, start, row, label, kind }) => [
      element('path', {
        class: `mark-line ${kind}`,
        d: `M${r(place)} ${25 + row * lineHeight}V${bottom}`,
      }),
      element('text', { class: `mark-word ${kind}`, x: r(start), y: 22 + row * lineHeight }, label),
    ]),
    valueLine(points, at, y),
    points.map((point, index) => onePoint(point, at(index), y, bottom)),
  );
}

/** Values and the usual range in full; a tolerance that is far away is left out rather than flattening the values. */
function valueRange({ series, chart, measured }: JudgedTrend): { from: number; to: number } {
  const own = measured.flatMap(({ value, expanded }) => [
    value - (expanded ?? 0),
    value + (expanded ?? 0),
  ]);
  if (chart) own.push(chart.lower, chart.upper);
  if (own.length === 0) return { from: 0, to: 1 };
  const [low, high] = [Math.min(...own), Math.max(...own)];
  const span = high - low || Math.abs(high) || 1;
  const { lower, upper } = series.points.at(-1)!;
  const near = [lower, upper].filter(
    (limit): limit is number => limit !== null && limit > low - 3 * span && limit < high + 3 * span,
  );
  const [from, to] = [Math.min(low, ...near), Math.max(high, ...near)];
  return { from: from - (to - from || span) * 0.07, to: to + (to - from || span) * 0.07 };
}

/** Limits of the youngest run that lie in the picture, and the mean. */
function levelsOf({ series, chart }: JudgedTrend, y: AxisScale): { role: string; value: number }[] {
  const { lower, upper } = series.points.at(-1)!;
  const limits = [lower, upper].filter(
    (limit): limit is number => limit !== null && limit >= y.from && limit <= y.to,
  );
  const mean = chart ? [{ role: 'ideal', value: chart.centre }] : [];
  return [...limits.map((value) => ({ role: 'limit', value })), ...mean];
}

interface Mark {
  readonly index: number;
  readonly label: string;
  readonly kind: 'build' | 'signal';
}

/** A new build, and the first run at which each rule fired. */
function marksOf({ series, chart, measured }: JudgedTrend): Mark[] {
  const { points } = series;
  const builds = points.flatMap((point, index): Mark[] =>
    index > 0 && point.build !== points[index - 1]!.build
      ? [{ index, label: `build ${point.build}`, kind: 'build' }]
      : [],
  );
  // Numbers lead to the words above the picture, where there is room for them.
  const signals = (chart?.signals ?? []).map(
    ({ at }, k): Mark => ({
      index: points.indexOf(measured[at]!),
      label: `▲ ${k + 1}`,
      kind: 'signal',
    }),
  );
  // Where every run has a build of its own (a nightly bench) only the signals tell anything.
  const told = builds.length > points.length / 3 ? signals : [...builds, ...signals];
  return told.sort((a, b) => a.index - b.index);
}

/** Words on as few rows as keep them from lying on each other. */
function placedMarks(
  marks: readonly Mark[],
  at: (index: number) => number,
  left: number,
  right: number,
) {
  const ends: number[] = [];
  const placed = marks.map(({ index, label, kind }) => {
    const most = Math.floor((right - left) / charWidth);
    const words = plainLine(label.length > most ? `${label.slice(0, most - 1)}…` : label);
    const length = words.length * charWidth;
    const place = at(index);
    const start = Math.max(left, Math.min(place + 3, right - length));
    let row = ends.findIndex((end) => start >= end);
    if (row < 0) row = ends.length;
    ends[row] = start + length + 8;
    return { place, start, row: row + 1, label: words, kind };
  });
  return { placed, rows: ends.length > 0 ? ends.length + 1 : 0 };
}

function dayTicks(
  points: readonly TrendPoint[],
  at: (index: number) => number,
  bottom: number,
  right: number,
): Markup[] {
  const most = Math.max(1, Math.floor(right / 150));
  const step = Math.max(1, Math.ceil((points.length - 1) / most));
  const shown = points.map((_, index) => index).filter((index) => index % step === 0);
  return shown.map((index, k) => {
    const anchor =
      k === 0 && points.length > 1 ? 'start' : at(index) > right - 40 ? 'end' : 'middle';
    return element(
      'g',
      { class: 'tick' },
      element('path', { d: `M${r(at(index))} ${bottom}v4` }),
      element(
        'text',
        { x: r(at(index)), y: bottom + 17, 'text-anchor': anchor },
        points[index]!.started.slice(0, 10),
      ),
    );
  });
}

/** Broken where a run has no value. */
function valueLine(
  points: readonly TrendPoint[],
  at: (index: number) => number,
  y: AxisScale,
): Markup {
  let path = '';
  let pen = 'M';
  for (const [index, { value }] of points.entries()) {
    if (value === null) pen = 'M';
    else {
      path += `${pen}${r(at(index))} ${r(y.place(value))}`;
      pen = 'L';
    }
  }
  return element('path', { class: 'trend-line', d: path || 'M0 0' });
}

function onePoint(
  { value, expanded, verdict }: TrendPoint,
  x: number,
  y: AxisScale,
  bottom: number,
): Markup {
  const place = value === null ? bottom - 6 : y.place(value);
  const [low, high] = [
    y.place((value ?? 0) - (expanded ?? 0)),
    y.place((value ?? 0) + (expanded ?? 0)),
  ];
  const whisker = value !== null && low - high > 2;
  return element(
    'g',
    { class: `trend-point ${verdict.replace(' ', '-')}` },
    whisker && element('path', { class: 'whisker', d: `M${r(x)} ${r(low)}V${r(high)}` }),
    verdictShape(verdict, r(x), r(place), 3.6),
  );
}

/** What the picture shows, for those who do not see it; the table beside it has every figure. */
function pictureWords({ series, chart, measured }: JudgedTrend): string {
  const values = measured.map(({ value }) => value);
  const figure = (value: number): string => figureText(value, series.unit, series.shown);
  if (values.length === 0) return `${series.title}: no run could measure it`;
  const spread = `${series.title} over ${values.length} runs, from ${figure(Math.min(...values))} to ${figure(Math.max(...values))}`;
  const signals = (chart?.signals ?? []).map(
    ({ rule, at }) => `${ruleText[rule]} at ${measured[at]!.started.slice(0, 10)}`,
  );
  return plainLine([spread, ...signals].join('; '));
}

function r(place: number): number {
  return Math.round(place * 10) / 10;
}
