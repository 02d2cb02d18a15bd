import { type Html, html } from '../html/html.ts';
import type { Scale } from './axis.ts';
import type { Span } from './chart-view.ts';
import type { DrawnChart, DrawnLine } from './drawn-chart.ts';
import { type Plot, tenth } from './frame.ts';

/** Inks in which measured lines are told apart; each has a dash of its own too (see the style). */
const penCount = 6;

/** What the style sheet calls each line of a chart, in their order. */
export function pensOf({ lines }: Pick<DrawnChart, 'lines'>): string[] {
  let measured = 0;
  return lines.map(({ role }) =>
    role === 'measured' ? `measured pen-${measured++ % penCount}` : role,
  );
}

/** Corridor lines come in pairs: the space between them is what is allowed. */
export function corridors({ lines }: DrawnChart, x: Scale, y: Scale): Html[] {
  const edges = lines.filter(({ role }) => role === 'corridor');
  return edges.flatMap((upper, k) => {
    const lower = edges[k + 1];
    if (k % 2 === 1 || !lower) return [];
    return [html`<path class="corridor" d="${areaPath(upper, lower, x, y)}"></path>`];
  });
}

export function linesOf(chart: DrawnChart, x: Scale, y: Scale, view: Span): Html[] {
  const pens = pensOf(chart);
  return chart.lines.flatMap((line, k) => {
    if (line.role === 'corridor') return [];
    const shown = chart.kind === 'path' ? line : cut(line, view);
    if (chart.kind === 'spectrum' && line.role === 'measured' && line.x.length > 1)
      return [stems(shown, pens[k] ?? line.role, x, y)];
    return [oneLine(shown, pens[k] ?? line.role, x, y)];
  });
}

function oneLine(line: DrawnLine, pen: string, x: Scale, y: Scale): Html {
  if (line.x.length === 1) return cross(line, pen, x, y);
  if (line.low) {
    const lower = { x: line.x, y: line.low };
    return html`<path class="${pen} band" d="${areaPath(line, lower, x, y)}"></path>`;
  }
  const path = html`<path class="${pen}" d="${linePath(line, x, y)}"></path>`;
  // A single measured point between two others would be lost in a line of few points.
  if (line.role !== 'measured' || line.x.length > 40) return path;
  const dots = places(line, x, y).map((place) => `M${place}h0`);
  return html`${path}<path class="${pen} dots" d="${dots.join('')}"></path>`;
}

/** More components than these are too close together for a dot on each. */
const mostDots = 60;

/** A spectrum of single components: each stands by itself on the foot of the plot, and nothing joins them. */
function stems(line: DrawnLine, pen: string, x: Scale, y: Scale): Html {
  const foot = 20_000;
  const tops = places(line, x, y);
  const d = tops.map((place) => `M${place}V${foot}`).join('');
  const dots = tops.map((place) => `M${place}h0`).join('');
  return html`
    <path class="${pen} stems" d="${d || 'M0 0'}"></path>
    ${tops.length <= mostDots && html`<path class="${pen} dots" d="${dots || 'M0 0'}"></path>`}`;
}

function cross(line: DrawnLine, pen: string, x: Scale, y: Scale): Html {
  const [at = 0] = line.x;
  const [value = 0] = line.y;
  const d = `M${tenth(x(at) - 6)} ${tenth(y(value))}h12m-6 -6v12`;
  return html`<path class="${pen} point" d="${d}"></path>`;
}

/** The part of a line inside the view and one point beyond on either side. */
function cut(line: DrawnLine, view: Span): DrawnLine {
  const first = line.x.findIndex((value) => value >= view.from);
  if (first < 0 || line.x.length === 1) return line;
  const after = line.x.findIndex((value) => value > view.to);
  const [start, end] = [Math.max(0, first - 1), after < 0 ? line.x.length : after + 1];
  const { x, y, low } = line;
  const part = { ...line, x: x.slice(start, end), y: y.slice(start, end) };
  return low ? { ...part, low: low.slice(start, end) } : part;
}

type Points = Pick<DrawnLine, 'x' | 'y'>;

function linePath(points: Points, x: Scale, y: Scale): string {
  return `M${places(points, x, y).join('L') || '0 0'}`;
}

function areaPath(upper: Points, lower: Points, x: Scale, y: Scale): string {
  const back = places(lower, x, y).reverse();
  return `${linePath(upper, x, y)}L${back.join('L') || '0 0'}z`;
}

function places(points: Points, x: Scale, y: Scale): string[] {
  const found: string[] = [];
  for (const [k, at] of points.x.entries()) {
    const value = points.y[k];
    if (value !== undefined) found.push(`${onPaper(x(at))} ${onPaper(y(value))}`);
  }
  return found;
}

/** Browsers draw nothing at all of a path that leaves the paper by millions of pixels. */
function onPaper(place: number): number {
  return tenth(Math.min(20_000, Math.max(-20_000, place)));
}

/** Height of the strip and the space under it. */
export const stripHeight = 34;

/** The rows of a frame as a camera shows them, at their true contrast: the chart below stretches it. */
export function bandStrip({ lines }: DrawnChart, x: Scale, plot: Plot): Html | null {
  const line = lines.find(({ role }) => role === 'measured');
  if (!line) return null;
  const brightest = line.y.reduce((most, value) => Math.max(most, value), 0);
  const rows = line.y.map((value, k) => {
    const from = line.x[k] ?? 0;
    const to = line.x[k + 1] ?? from + (from - (line.x[k - 1] ?? from));
    const left = Math.max(plot.left, x(from));
    const right = Math.min(plot.right, x(to));
    if (right <= left) return null;
    const fill = greyOf(value / brightest);
    return html`<rect x="${tenth(left)}" y="${plot.top - stripHeight}" width="${tenth(right - left + 0.5)}" height="${stripHeight - 8}" fill="${fill}"></rect>`;
  });
  return html`<g class="strip" shape-rendering="crispEdges">${rows}</g>`;
}

/** Frames are linear in light and screens are not: 1/2.2 brings the contrast back to what the eye saw. */
function greyOf(share: number): string {
  const grey = Math.round(235 * Math.max(0, share) ** (1 / 2.2));
  return `rgb(${grey},${grey},${grey})`;
}
