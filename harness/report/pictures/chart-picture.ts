import { formatNumber } from '../../units/format-quantity.ts';
import { toShown } from '../../units/to-shown.ts';
import { element, type Markup } from '../html/markup.ts';
import { fittingUnit } from '../words/value-text.ts';
import { type AxisScale, axisScale } from './axis-scale.ts';
import type { DrawnChart, DrawnLine } from './drawn-chart.ts';

export interface Look {
  readonly width: number;
  readonly height: number;
  /** Name of the picture, once in a document: its clip is called by it. */
  readonly id: string;
  /** Part of the x axis to show; the whole when absent. */
  readonly view?: Span;
}

export interface Span {
  readonly from: number;
  readonly to: number;
}

export interface Picture {
  readonly markup: Markup;
  readonly x: AxisScale;
  readonly plot: { left: number; right: number; top: number; bottom: number };
}

const lineHeight = 13;
const charWidth = 7;

/** Draws a chart as SVG: corridor, limits and ideal under the measured lines, marks with their words above the plot. */
export function chartPicture(chart: DrawnChart, look: Look): Picture {
  const view = look.view ?? firstView(chart);
  const yRange = yRangeIn(chart, view);
  const left = yLabelWidth(chart, yRange);
  const marks = placedMarks(chart, view, left, look.width - 10);
  const strip = chart.kind === 'bands' ? 34 : 0;
  const plot = {
    left,
    right: look.width - 10,
    top: 20 + marks.rows * lineHeight + strip,
    bottom: look.height - 34,
  };
  const x = axisScale(
    { ...view, log: isLog(chart.x, view.from) },
    { start: plot.left, end: plot.right, ticks: Math.max(2, Math.floor(look.width / 110)) },
  );
  const y = axisScale(
    { ...yRange, log: isLog(chart.y, yRange.from) },
    { start: plot.bottom, end: plot.top, ticks: 5 },
  );
  const scales = chart.kind === 'path' ? evenScales(x, y, plot) : { x, y };
  const clip = `clip-${look.id}`;
  const markup = element(
    'svg',
    {
      class: 'chart',
      viewBox: `0 0 ${look.width} ${look.height}`,
      role: 'img',
      'aria-label': chartWords(chart),
    },
    element(
      'clipPath',
      { id: clip },
      element('rect', {
        x: plot.left,
        y: plot.top,
        width: Math.max(0, plot.right - plot.left),
        height: Math.max(0, plot.bottom - plot.top),
      }),
    ),
    strip > 0 ? bandStrip(chart, scales.x, plot, strip) : null,
    axes(chart, scales.x, scales.y, plot),
    element(
      'g',
      { 'clip-path': `url(#${clip})` },
      corridors(chart, scales.x, scales.y),
      linesOf(chart, scales.x, scales.y, view),
    ),
    marks.at.map(({ place, start, row, label }) => [
      element('path', {
        class: 'mark-line',
        d: `M${r(place)} ${12 + row * lineHeight + 3}V${plot.bottom}`,
      }),
      element('text', { class: 'mark-word', x: r(start + 3), y: 12 + row * lineHeight }, label),
    ]),
  );
  return { markup, x: scales.x, plot };
}

/** What the chart shows, for those who do not see it. */
export function chartWords({ title, x, y, lines }: DrawnChart): string {
  const names = lines.map(({ name, role }) => (role === 'measured' ? name : `${role} ${name}`));
  return `${title}: ${y.label} over ${x.label}; ${[...new Set(names)].join(', ')}`;
}

/** What a chart shows before anybody zooms: arrivals close up, for they lie within thousandths of the fade. */
export function firstView(chart: DrawnChart): Span {
  const whole = xRange(chart);
  if (!rowNames(chart)) return whole;
  const ends = chart.lines
    .filter(({ role }) => role === 'measured')
    .map(({ x }) => x[x.length - 1] ?? whole.to);
  const [first, last] = [Math.min(...ends), Math.max(...ends)];
  const around = Math.max((last - first) * 1.5, (whole.to - whole.from) / 200);
  return { from: Math.max(whole.from, first - around), to: last + around };
}

export function xRange({ kind, lines, marks, x }: DrawnChart): Span {
  const values = lines.flatMap((line) => extremes(line.x, x.scale === 'log'));
  // In a diagram of colour the target belongs to the picture as much as the points do.
  const own = lines.filter(({ role }) => role === 'measured' || kind === 'path');
  const measured = own.flatMap((line) => extremes(line.x, x.scale === 'log'));
  // A limit line may reach far beyond the record; a mark may lie just outside of it.
  const from = Math.min(...(measured.length > 0 ? measured : values));
  const to = Math.max(...(measured.length > 0 ? measured : values));
  if (!Number.isFinite(from)) return { from: 0, to: 1 };
  if (from === to) return { from: from - 0.5, to: to + 0.5 };
  const near = marks.map(({ at }) => at).filter((at) => at > to && at < to + (to - from) * 0.05);
  return { from, to: Math.max(to, ...near) };
}

function yRangeIn(chart: DrawnChart, view: Span): Span {
  const log = chart.y.scale === 'log';
  const values = chart.lines.flatMap((line) => {
    const inside = (list: readonly number[]) =>
      list.filter((_, k) => chart.kind === 'path' || within(line.x[k]!, view));
    return [...extremes(inside(line.y), log), ...extremes(inside(line.low ?? []), log)];
  });
  const [low, high] = [Math.min(...values), Math.max(...values)];
  if (!Number.isFinite(low)) return log ? { from: 0.1, to: 1 } : { from: 0, to: 1 };
  if (log)
    return low === high ? { from: low / 2, to: high * 2 } : { from: low / 1.15, to: high * 1.15 };
  const pad = (high - low || Math.abs(high) || 1) * 0.06;
  // A record that lies near zero is drawn from zero: a shift of its foot would read as a level.
  const from = low >= 0 && low < high * 0.25 && chart.kind === 'waveform' ? 0 : low - pad;
  return { from, to: high + pad };
}

/** The x-y diagram of colour has one scale for both axes, or a circle would be an ellipse. */
function evenScales(x: AxisScale, y: AxisScale, plot: Picture['plot']) {
  const perX = (x.to - x.from) / (plot.right - plot.left);
  const perY = (y.to - y.from) / (plot.bottom - plot.top);
  const per = Math.max(perX, perY) * 1.08;
  const about = (scale: AxisScale, length: number) => {
    const centre = (scale.from + scale.to) / 2;
    return { from: centre - (per * length) / 2, to: centre + (per * length) / 2, log: false };
  };
  return {
    x: axisScale(about(x, plot.right - plot.left), { start: plot.left, end: plot.right, ticks: 6 }),
    y: axisScale(about(y, plot.bottom - plot.top), { start: plot.bottom, end: plot.top, ticks: 5 }),
  };
}

function axes(chart: DrawnChart, x: AxisScale, y: AxisScale, plot: Picture['plot']): Markup[] {
  const { left, right, top, bottom } = plot;
  const xText = axisText(chart.x, x);
  const yText = rowNames(chart) ?? axisText(chart.y, y);
  const yTicks = rowNames(chart) ? rowsOf(chart) : y.ticks;
  return [
    ...yTicks.map((tick) =>
      element(
        'g',
        { class: 'tick' },
        element('path', { d: `M${left} ${r(y.place(tick))}H${right}` }),
        element(
          'text',
          { x: left - 6, y: r(y.place(tick) + 4), 'text-anchor': 'end' },
          yText(tick),
        ),
      ),
    ),
    ...x.ticks.map((tick) =>
      element(
        'g',
        { class: 'tick' },
        element('path', { d: `M${r(x.place(tick))} ${bottom}v4` }),
        element(
          'text',
          { x: r(x.place(tick)), y: bottom + 16, 'text-anchor': 'middle' },
          xText(tick),
        ),
      ),
    ),
    element('path', { class: 'axis', d: `M${left} ${top}V${bottom}H${right}` }),
    element(
      'text',
      { class: 'axis-word', x: right, y: bottom + 30, 'text-anchor': 'end' },
      axisTitle(chart.x, x),
    ),
    element('text', { class: 'axis-word', x: 2, y: 12 }, axisTitle(chart.y, y)),
  ];
}

/** Arrivals have a row a channel; the rows are called by the channels instead of by numbers. */
function rowNames(chart: DrawnChart): ((row: number) => string) | null {
  if (chart.kind !== 'arrivals') return null;
  const rows = chart.lines.filter(({ y }) => y.every((value) => value === y[0]));
  if (rows.length < chart.lines.length) return null;
  return (row) => rows.find(({ y }) => y[0] === row)?.name ?? '';
}

function rowsOf({ lines }: DrawnChart): number[] {
  return [...new Set(lines.flatMap(({ y }) => y.slice(0, 1)))];
}

function axisTitle(axis: DrawnChart['x'], scale: AxisScale): string {
  const unit = tickUnit(axis, scale);
  return unit === '1' || unit === '' ? axis.label : `${axis.label} (${unit})`;
}

/** Ticks of one axis share one unit. */
function axisText(axis: DrawnChart['x'], scale: AxisScale): (tick: number) => string {
  const unit = tickUnit(axis, scale);
  return (tick) => formatNumber(unit === axis.unit ? tick : toShown(tick, axis.unit, unit), 6);
}

function tickUnit(axis: DrawnChart['x'], { from, to, log }: AxisScale): string {
  if (log) return axis.unit;
  return fittingUnit(Math.max(Math.abs(from), Math.abs(to)), axis.unit);
}

/** Corridor lines come in pairs: the space between them is what is allowed. */
function corridors({ lines }: DrawnChart, x: AxisScale, y: AxisScale): Markup[] {
  const edges = lines.filter(({ role }) => role === 'corridor');
  const areas: Markup[] = [];
  for (let k = 0; k + 1 < edges.length; k += 2) {
    const [upper, lower] = [edges[k]!, edges[k + 1]!];
    areas.push(element('path', { class: 'corridor', d: areaPath(upper, lower, x, y) }));
  }
  return areas;
}

function areaPath(
  upper: Pick<DrawnLine, 'x' | 'y'>,
  lower: Pick<DrawnLine, 'x' | 'y'>,
  x: AxisScale,
  y: AxisScale,
) {
  const back = linePath([...lower.x].reverse(), [...lower.y].reverse(), x, y);
  return `${linePath(upper.x, upper.y, x, y)}L${back.slice(1)}z`;
}

function linesOf(chart: DrawnChart, x: AxisScale, y: AxisScale, view: Span): Markup[] {
  let measured = 0;
  return chart.lines
    .filter(({ role }) => role !== 'corridor')
    .flatMap((line) => {
      const pen = line.role === 'measured' ? `measured pen-${measured++ % penCount}` : line.role;
      return oneLine(line, pen, x, y, chart.kind === 'path' ? undefined : view);
    });
}

/** Inks in which measured lines are told apart; each has a dash of its own too (see the style). */
export const penCount = 6;

function oneLine(line: DrawnLine, pen: string, x: AxisScale, y: AxisScale, view?: Span): Markup[] {
  if (line.x.length === 1)
    return [
      element('path', {
        class: `${pen} point`,
        d: `M${r(x.place(line.x[0]!) - 6)} ${r(y.place(line.y[0]!))}h12m-6 -6v12`,
      }),
    ];
  const shown = view ? cut(line, view) : line;
  if (shown.low) {
    const d = areaPath(shown, { x: shown.x, y: shown.low }, x, y);
    return [element('path', { class: `${pen} band`, d })];
  }
  const drawn = element('path', { class: pen, d: linePath(shown.x, shown.y, x, y) });
  // A single measured point between two others would be lost in a line of few points.
  if (line.role !== 'measured' || shown.x.length > 40) return [drawn];
  const dots = shown.x.map((value, k) => `M${r(x.place(value))} ${r(y.place(shown.y[k]!))}h0`);
  return [drawn, element('path', { class: `${pen} dots`, d: dots.join('') })];
}

/** The part of a line inside the view and one point beyond on either side. */
function cut(line: DrawnLine, view: Span): DrawnLine {
  const first = line.x.findIndex((value) => value >= view.from);
  if (first < 0) return line;
  const after = line.x.findIndex((value) => value > view.to);
  const [start, end] = [Math.max(0, first - 1), after < 0 ? line.x.length : after + 1];
  const part = (list: readonly number[]) => list.slice(start, end);
  return {
    ...line,
    x: part(line.x),
    y: part(line.y),
    ...(line.low ? { low: part(line.low) } : {}),
  };
}

function linePath(
  xs: readonly number[],
  ys: readonly number[],
  x: AxisScale,
  y: AxisScale,
): string {
  let path = '';
  for (let k = 0; k < xs.length; k++)
    path += `${path ? 'L' : 'M'}${r(bounded(x.place(xs[k]!)))} ${r(bounded(y.place(ys[k]!)))}`;
  return path || 'M0 0';
}

/** The rows of a frame as a camera shows them, at their true contrast: the chart below stretches it. */
function bandStrip(chart: DrawnChart, x: AxisScale, plot: Picture['plot'], height: number) {
  const line = chart.lines.find(({ role }) => role === 'measured');
  if (!line) return null;
  const brightest = Math.max(...line.y);
  const top = plot.top - height;
  return element(
    'g',
    { class: 'strip', 'shape-rendering': 'crispEdges' },
    line.x.map((from, k) => {
      const to = line.x[k + 1] ?? from + (from - (line.x[k - 1] ?? from));
      const left = Math.max(plot.left, x.place(from));
      const right = Math.min(plot.right, x.place(to));
      if (right <= left) return null;
      // Frames are linear in light and screens are not: 1/2.2 brings the contrast back to what the eye saw.
      const grey = Math.round(235 * Math.max(0, line.y[k]! / brightest) ** (1 / 2.2));
      const fill = `rgb(${grey},${grey},${grey})`;
      return element('rect', {
        x: r(left),
        y: top,
        width: r(right - left + 0.5),
        height: height - 8,
        fill,
      });
    }),
  );
}

/** Words of marks side by side on as few rows as keep them from lying on each other. */
function placedMarks(chart: DrawnChart, view: Span, left: number, right: number) {
  const scale = axisScale(
    { ...view, log: isLog(chart.x, view.from) },
    { start: left, end: right, ticks: 2 },
  );
  const ends: number[] = [
    axisTitle(
      chart.y,
      axisScale({ ...yRangeIn(chart, view), log: false }, { start: 0, end: 1, ticks: 2 }),
    ).length *
      charWidth +
      8,
  ];
  const at = chart.marks
    .filter((mark) => within(mark.at, view))
    .sort((a, b) => a.at - b.at)
    .map(({ at, label }) => {
      const text = label.length > 24 ? `${label.slice(0, 23)}…` : label;
      const width = text.length * charWidth;
      const place = scale.place(at);
      // A word that would leave the picture starts before its line.
      const start = Math.min(place, right - width);
      let row = ends.findIndex((end) => start >= end);
      if (row < 0) row = ends.length;
      ends[row] = start + width + 8;
      return { place, start, row, label: text };
    });
  return { at, rows: Math.max(0, ...at.map(({ row }) => row)) };
}

function yLabelWidth(chart: DrawnChart, range: Span): number {
  const scale = axisScale(
    { ...range, log: isLog(chart.y, range.from) },
    { start: 1, end: 0, ticks: 5 },
  );
  const names = rowNames(chart);
  const text = names ?? axisText(chart.y, scale);
  const ticks = names ? rowsOf(chart) : scale.ticks;
  return Math.max(30, ...ticks.map((tick) => text(tick).length * charWidth + 12));
}

function isLog(axis: DrawnChart['x'], from: number): boolean {
  return axis.scale === 'log' && from > 0;
}

function extremes(values: readonly number[], positive: boolean): number[] {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const value of values) {
    if (positive && value <= 0) continue;
    if (value < low) low = value;
    if (value > high) high = value;
  }
  return low <= high ? [low, high] : [];
}

function within(value: number, { from, to }: Span): boolean {
  return value >= from && value <= to;
}

function bounded(place: number): number {
  return Math.min(20_000, Math.max(-20_000, place));
}

function r(place: number): number {
  return Math.round(place * 10) / 10;
}
