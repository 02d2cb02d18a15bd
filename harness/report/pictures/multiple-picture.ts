import { extent } from 'd3-array';
import { plainLine } from '../../files/plain-text.ts';
import type { JudgedTrend, TrendPoint, TrendSeries } from '../../record/trend.ts';
import { type Html, html } from '../html/html.ts';
import { driftText, nowText } from '../words/trend-words.ts';
import { figureText } from '../words/value-text.ts';
import { type AxisRange, type Scale, scaleOf } from './axis.ts';
import { tenth } from './frame.ts';
import { placedWords } from './ruler-words.ts';
import { usedShare } from './used-share.ts';
import { verdictClass, verdictShape } from './verdict-shape.ts';

const width = 300;
const height = 118;
/** Room for the builds beneath. */
const plot = { right: width - 8, top: 10, bottom: height - 24 };
/** Of the widest usual face at 11 px. */
const charWidth = 7.4;
const rowHeight = 12;
/** Beyond, values stand as arrows at the edge: one far off would flatten all the others. */
const farthest = 3;

/** What all pictures of one group share: the runs along the level axis, and the range of the upright one. */
export interface MultipleFrame {
  /** Oldest first. */
  readonly runs: readonly { readonly id: string; readonly build: string }[];
  /** In shares of the tolerance, see `usedShare`. */
  readonly range: AxisRange;
  /** Where the plots begin: left of it stand the figures of the limits. */
  readonly left: number;
}

export function multipleFrame(trends: readonly JudgedTrend[]): MultipleFrame {
  const points = trends.flatMap(({ series }) => series.points);
  const runs = new Map(points.map((point) => [point.id, point]));
  const inOrder = [...runs.values()].sort((a, b) => a.started.localeCompare(b.started));
  const reached = points.flatMap((point) => [...sharesOf(point), ...limitShares(point)]);
  const [low = 0, high = 1] = extent(
    reached.map((share) => Math.max(-farthest, Math.min(farthest, share))),
  );
  const air = (high - low || 1) * 0.08;
  const figures = trends.flatMap(({ series }) => {
    const last = series.points.at(-1);
    return last ? levelsOf(last).map(({ value }) => levelText(value, series)) : [];
  });
  const left = Math.max(40, ...figures.map((figure) => figure.length * charWidth + 8));
  return { runs: inOrder, range: { from: low - air, to: high + air, log: false }, left };
}

/** Of the value and both ends of its uncertainty. */
function sharesOf(point: TrendPoint): number[] {
  const { value, expanded } = point;
  if (value === null) return [];
  const ends = [value, value - (expanded ?? 0), value + (expanded ?? 0)];
  return ends.flatMap((end) => usedShare(end, point) ?? []);
}

function limitShares(point: TrendPoint): number[] {
  const { lower, upper } = point;
  const both = lower !== null && upper !== null;
  const limits = both ? [lower, upper] : [0, lower, upper];
  return limits.flatMap((limit) => (limit === null ? [] : (usedShare(limit, point) ?? [])));
}

/**
 * One of many: a series over the runs as shares of its tolerance, drawn in the frame of its group, with its limits, the line of
 * its verdicts' shapes, and the builds along the axis. Null where its tolerance has no width to draw it in.
 */
export function multiplePicture(trend: JudgedTrend, frame: MultipleFrame): Html | null {
  const { runs, range, left } = frame;
  const { points } = trend.series;
  const last = points.at(-1);
  if (!last || limitShares(last).length === 0) return null;
  const y = scaleOf(range, plot.bottom, plot.top);
  const places = new Map(runs.map(({ id }, k) => [id, runPlace(k, frame)]));
  const at = (point: TrendPoint): number => places.get(point.id) ?? left;
  return html`
    <svg class="chart multiple" viewBox="0 0 ${width} ${height}" role="img" aria-label="${pictureWords(trend)}">
      ${buildMarks(frame)}
      ${levelLines(trend, last, y, left)}
      <path class="axis" d="M${left} ${plot.top}V${plot.bottom}H${plot.right}"></path>
      <path class="trend-line" d="${linePath(points, at, y)}"></path>
      ${points.map((point) => onePoint(point, at(point), y))}
    </svg>`;
}

function runPlace(k: number, { runs, left }: MultipleFrame): number {
  const [from, to] = [left + 8, plot.right - 8];
  return tenth(runs.length < 2 ? (from + to) / 2 : from + (k * (to - from)) / (runs.length - 1));
}

/** The limits, and the middle between them (or zero). SI. */
function levelsOf({ lower, upper }: TrendPoint) {
  const middle = lower !== null && upper !== null ? (lower + upper) / 2 : 0;
  const limits = [upper, lower].filter((limit) => limit !== null);
  return [...limits.map((value) => ({ value, role: 'limit' })), { value: middle, role: 'middle' }];
}

function levelText(value: number, { unit, shown }: TrendSeries): string {
  return figureText(value, unit, shown, 4);
}

/** With their figures where they do not lie on each other. */
function levelLines({ series }: JudgedTrend, last: TrendPoint, y: Scale, left: number): Html[] {
  const taken: number[] = [];
  return levelsOf(last).map(({ value, role }) => {
    const place = tenth(y(usedShare(value, last) ?? 0));
    const isFree = taken.every((other) => Math.abs(other - place) >= rowHeight);
    if (isFree) taken.push(place);
    const figure = levelText(value, series);
    return html`
      <path class="${role}" d="M${left} ${place}H${plot.right}"></path>
      ${isFree && html`<text x="${left - 5}" y="${tenth(place + 4)}" text-anchor="end">${figure}</text>`}`;
  });
}

/** A line where the build changes, and the builds beneath, the newest first to be told. */
function buildMarks(frame: MultipleFrame): Html[] {
  const { runs } = frame;
  const starts = runs.flatMap(({ build }, k) =>
    build === runs[k - 1]?.build ? [] : [{ build, k }],
  );
  const stretches = starts.map(({ build, k }, index) => {
    const end = (starts[index + 1]?.k ?? runs.length) - 1;
    const [from, to] = [runPlace(k, frame), runPlace(end, frame)];
    return { label: shortBuild(build), start: from, middle: (from + to) / 2 };
  });
  const words = [...stretches].reverse().map(({ label, middle }) => ({ text: label, at: middle }));
  const step = runs.length < 2 ? 0 : runPlace(1, frame) - runPlace(0, frame);
  // Where every run has a build of its own, lines would only be a fence.
  const lines = starts.length > runs.length / 2 ? [] : stretches.slice(1);
  return [
    ...lines.map(
      ({ start }) =>
        html`<path class="mark-line" d="M${tenth(start - step / 2)} ${plot.top}V${plot.bottom + 6}"></path>`,
    ),
    ...placedWords(words, width).map(
      ({ text, start }) => html`<text x="${start}" y="${height - 8}">${text}</text>`,
    ),
  ];
}

/** Longer names would leave no room for a second one. */
const longestBuild = 16;

function shortBuild(build: string): string {
  const plain = plainLine(build);
  return plain.length > longestBuild ? `${plain.slice(0, longestBuild - 1)}…` : plain;
}

/** Broken where a run has no value. */
function linePath(
  points: readonly TrendPoint[],
  at: (point: TrendPoint) => number,
  y: Scale,
): string {
  let pen = 'M';
  const parts = points.map((point) => {
    const share = point.value === null ? null : usedShare(point.value, point);
    const part = share === null ? '' : `${pen}${at(point)} ${tenth(inPlot(y(share)))}`;
    pen = share === null ? 'M' : 'L';
    return part;
  });
  return parts.join('') || 'M0 0';
}

function onePoint(point: TrendPoint, x: number, y: Scale): Html {
  const [share, ...ends] = sharesOf(point);
  const { verdict } = point;
  const place = share === undefined ? plot.bottom - 5 : y(share);
  const isInside = place === inPlot(place);
  const whisker = ends.map((end) => tenth(inPlot(y(end))));
  return html`
    <g class="trend-point ${verdictClass(verdict)}">
      ${isInside && whisker.length === 2 && html`<path class="whisker" d="M${x} ${whisker[0]}V${whisker[1]}"></path>`}
      ${isInside ? verdictShape(verdict, x, tenth(place), 2.8) : arrow(x, place)}
    </g>`;
}

/** It lies beyond the edge, there. */
function arrow(x: number, place: number): Html {
  const [tip, down] = place < plot.top ? [plot.top - 4, 8] : [plot.bottom + 4, -8];
  return html`<path class="mark" d="M${x} ${tip}l-4 ${down}h8z"></path>`;
}

function inPlot(place: number): number {
  return Math.min(plot.bottom, Math.max(plot.top, place));
}

function pictureWords(trend: JudgedTrend): string {
  const { series, measured } = trend;
  return plainLine(
    `${series.title} over ${measured.length} runs; now ${nowText(trend)}; drift ${driftText(trend)}`,
  );
}

const spark = { width: 120, height: 26 };

/** The same as a line of a word's size, on a scale of its own, with the newest run in the shape of its verdict. */
export function sparkPicture({ series, measured }: JudgedTrend): Html | null {
  const [low, high] = extent(measured, ({ value }) => value);
  const last = measured.at(-1);
  if (low === undefined || !last) return null;
  const y =
    low === high
      ? () => spark.height / 2
      : scaleOf({ from: low, to: high, log: false }, spark.height - 6, 6);
  const { points } = series;
  const step = points.length < 2 ? 0 : (spark.width - 12) / (points.length - 1);
  const places = points.flatMap(({ value }, k) =>
    value === null ? [] : [[tenth(6 + k * step), tenth(y(value))] as const],
  );
  const [x, place] = places.at(-1) ?? [0, 0];
  return html`
    <svg class="spark" viewBox="0 0 ${spark.width} ${spark.height}" aria-hidden="true">
      <path class="trend-line" d="M${places.map((one) => one.join(' ')).join('L')}"></path>
      <g class="trend-point ${verdictClass(last.verdict)}">${verdictShape(last.verdict, x, place, 3)}</g>
    </svg>`;
}
