import { type Html, html } from '../html/html.ts';
import {
  type AxisRange,
  type Scale,
  scaleOf,
  type Tick,
  ticksOf,
  tickText,
  tickUnit,
} from './axis.ts';
import { bandStrip, corridors, linesOf, stripHeight } from './chart-lines.ts';
import { firstView, isWithin, rowNames, type Span, yRange } from './chart-view.ts';
import type { DrawnChart } from './drawn-chart.ts';
import { axes, headHeight, labelWidth, markLines, markRows, type Plot } from './frame.ts';
import { spectrogramCells } from './spectrogram.ts';

export interface Look {
  readonly width: number;
  readonly height: number;
  /** Name of the picture, once in a document: its clip is called by it. */
  readonly id: string;
  /** Part of the x axis to show; the whole when absent. */
  readonly view?: Span;
}

export interface Picture {
  readonly markup: Html;
  readonly x: Scale;
  readonly plot: Plot;
}

/** Draws a chart as SVG: corridor, limits and ideal under the measured lines, marks with their words above the plot. */
export function chartPicture(chart: DrawnChart, look: Look): Picture {
  const { width, height } = look;
  const view = look.view ?? firstView(chart);
  const ranges = { x: axisRange(chart.x, view), y: yRange(chart, view) };
  const left = Math.max(chart.gutter ?? 0, labelWidth(yTicks(chart, ranges.y)));
  const sides = { left, right: width - 10 };
  const marks = placedMarks(chart, view, ranges, sides);
  const strip = chart.kind === 'bands' ? stripHeight : 0;
  const plot = { ...sides, top: headHeight + marks.height + strip, bottom: height - 34 };
  const shown = chart.kind === 'path' ? evenRanges(ranges, plot) : ranges;
  const x = xAxis(chart, shown.x, plot, Math.max(2, Math.floor(width / 110)));
  const y = yAxis(chart, shown.y, plot);
  const clip = `clip-${look.id}`;
  const markup = html`
    <svg class="chart" viewBox="0 0 ${width} ${height}" role="img" aria-label="${chartWords(chart)}">
      ${clipPath(clip, plot)}
      ${strip > 0 && bandStrip(chart, x.scale, plot)}
      ${axes(x, y, plot)}
      <g clip-path="url(#${clip})">
        ${corridors(chart, x.scale, y.scale)}
        ${chart.kind === 'spectrogram' ? spectrogramCells(chart, x.scale, y.scale) : linesOf(chart, x.scale, y.scale, view)}
      </g>
      ${markLines(marks.marks, plot.bottom)}
    </svg>`;
  return { markup, x: x.scale, plot };
}

/** What the chart shows, for those who do not see it. */
function chartWords({ kind, title, x, y, lines }: DrawnChart): string {
  if (kind === 'spectrogram') return `${title}: ${y.label} over ${x.label}, darker for more`;
  const names = lines.map(({ name, role }) =>
    role === 'measured' || name.includes(role) ? name : `${role} ${name}`,
  );
  return `${title}: ${y.label} over ${x.label}; ${[...new Set(names)].join(', ')}`;
}

interface Ranges {
  readonly x: AxisRange;
  readonly y: AxisRange;
}

function axisRange({ scale }: DrawnChart['x'], view: Span): AxisRange {
  return { ...view, log: scale === 'log' && view.from > 0 };
}

/** The x-y diagram of colour has one scale for both axes, or a circle would be an ellipse. */
function evenRanges({ x, y }: Ranges, { left, right, top, bottom }: Plot): Ranges {
  const [width, height] = [right - left, bottom - top];
  const perPixel = Math.max((x.to - x.from) / width, (y.to - y.from) / height) * 1.08;
  const about = ({ from, to }: AxisRange, pixels: number): AxisRange => {
    const centre = (from + to) / 2;
    const reach = (perPixel * pixels) / 2;
    return { from: centre - reach, to: centre + reach, log: false };
  };
  return { x: about(x, width), y: about(y, height) };
}

function xAxis({ x }: DrawnChart, range: AxisRange, plot: Plot, count: number) {
  return {
    scale: scaleOf(range, plot.left, plot.right),
    ticks: unitTicks(x, range, count),
    title: axisTitle(x, range),
  };
}

function yAxis(chart: DrawnChart, range: AxisRange, plot: Plot) {
  return {
    scale: scaleOf(range, plot.bottom, plot.top),
    ticks: yTicks(chart, range),
    title: axisTitle(chart.y, range),
  };
}

function yTicks(chart: DrawnChart, range: AxisRange): Tick[] {
  const rows = rowNames(chart);
  return rows ? [...rows].map(([at, label]) => ({ at, label })) : unitTicks(chart.y, range, 5);
}

/** Ticks of one axis share one unit. */
function unitTicks(axis: DrawnChart['x'], range: AxisRange, count: number): Tick[] {
  const shown = tickUnit(range, axis);
  return ticksOf(range, count, (tick) => tickText(tick, axis.unit, shown));
}

function axisTitle(axis: DrawnChart['x'], range: AxisRange): string {
  const { label } = axis;
  const shown = tickUnit(range, axis);
  return shown === '1' || shown === '' ? label : `${label} (${shown})`;
}

function placedMarks(
  chart: DrawnChart,
  view: Span,
  ranges: Ranges,
  sides: Pick<Plot, 'left' | 'right'>,
) {
  const scale = scaleOf(ranges.x, sides.left, sides.right);
  const inView = chart.marks.filter(({ at }) => isWithin(at, view)).sort((a, b) => a.at - b.at);
  const marks = inView.map(({ at, label }) => ({ place: scale(at), label }));
  return markRows(marks, axisTitle(chart.y, ranges.y), sides);
}

function clipPath(id: string, { left, right, top, bottom }: Plot): Html {
  const width = Math.max(0, right - left);
  const height = Math.max(0, bottom - top);
  return html`
    <clipPath id="${id}">
      <rect x="${left}" y="${top}" width="${width}" height="${height}"></rect>
    </clipPath>`;
}
