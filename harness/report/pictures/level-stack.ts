import type { Finding } from '../../record/run-record.ts';
import { type Html, html } from '../html/html.ts';
import { unbroken } from '../words/prose.ts';
import { figureText, valueText } from '../words/value-text.ts';
import { type AxisRange, type Scale, scaleOf, ticksOf, tickText, tickUnit } from './axis.ts';
import { corridors, linesOf } from './chart-lines.ts';
import { type Span, xRange, yRange } from './chart-view.ts';
import type { DrawnChart } from './drawn-chart.ts';
import { axes, type Plot } from './frame.ts';
import { legend } from './legend.ts';
import type { LevelRow, LevelRows } from './level-rows.ts';

/** A row with what is drawn in it. */
interface DrawnRow extends LevelRow {
  readonly chart: DrawnChart;
}

const rowHeight = 44;
/** Air between two rows, and room beside them for levels and values. */
const gap = 5;
const levelWidth = 62;
const valueWidth = 150;
/** In a picture narrower than this the value stands above its curve. */
const narrow = 560;
const wordsHeight = 14;

/**
 * The curves of all levels of a claim above each other, the brightest first, each with its limits; the worst is marked. Rows of a
 * spectrum share both axes, the others only that of x: what is off is seen at the same height of its row whatever the level is.
 */
export function levelStack(
  { rows, worst }: LevelRows,
  chartOf: (row: LevelRow) => DrawnChart | null,
  look: { readonly width: number; readonly id: string },
): Html | null {
  const drawn = rows.flatMap((row): DrawnRow[] => {
    const chart = chartOf(row);
    return chart && chart.kind !== 'path' ? [{ ...row, chart }] : [];
  });
  const [first] = drawn;
  if (!first || drawn.length < 3) return null;
  const { of, title } = worst.finding;
  const words = `${title} of ${of} at ${drawn.length} levels, the brightest first`;
  const deciding = drawn.find(({ placed }) => placed === worst) ?? first;
  return html`
    <figure class="figure level-stack">
      <div class="figure-head"><h4>${words}</h4></div>
      ${picture(drawn, deciding, { ...look, words })}
      <figcaption>${legend(deciding.chart)}</figcaption>
    </figure>`;
}

interface StackLook {
  readonly width: number;
  readonly id: string;
  readonly words: string;
}

/** What all rows share. */
interface Sheet {
  readonly x: Scale;
  readonly view: Span;
  readonly plot: Plot;
  /** Of y, where the rows have one. */
  readonly shared: AxisRange | null;
  /** Height of a row, and what of it is left to the words of its value above the curve. */
  readonly row: number;
  readonly head: number;
}

function picture(rows: readonly DrawnRow[], worst: DrawnRow, look: StackLook): Html {
  const { width, id, words } = look;
  const sheet = sheetOf(rows, worst, width);
  const { plot, row } = sheet;
  return html`
    <svg class="chart" viewBox="0 0 ${width} ${plot.bottom + 34}" role="img" aria-label="${words}">
      ${rows.map((one, k) => {
        const top = plot.top + k * row;
        const own = { ...plot, top: top + gap, bottom: top + row };
        return strip(one, { ...sheet, plot: own }, one === worst, `${id}-${k}`);
      })}
      ${frame(rows, worst.chart, sheet)}
    </svg>`;
}

function sheetOf(rows: readonly DrawnRow[], { chart }: DrawnRow, width: number): Sheet {
  const isNarrow = width < narrow;
  const row = isNarrow ? rowHeight + wordsHeight : rowHeight;
  const right = isNarrow ? width - 10 : width - valueWidth;
  const plot = { left: levelWidth, right, top: 18, bottom: 18 + rows.length * row };
  const view = joined(rows.map((one) => xRange(one.chart)));
  const x = scaleOf(rangeOf(chart, view), plot.left, plot.right);
  const shared = chart.kind === 'spectrum' ? sharedRange(rows, view) : null;
  return { x, view, plot, shared, row, head: isNarrow ? wordsHeight : 0 };
}

function rangeOf({ x }: DrawnChart, view: Span): AxisRange {
  return { ...view, log: x.scale === 'log' && view.from > 0 };
}

function joined(spans: readonly Span[]): Span {
  return {
    from: Math.min(...spans.map(({ from }) => from)),
    to: Math.max(...spans.map(({ to }) => to)),
  };
}

function sharedRange(rows: readonly DrawnRow[], view: Span): AxisRange {
  const ranges = rows.map(({ chart }) => yRange(chart, view));
  return { ...joined(ranges), log: ranges.every(({ log }) => log) };
}

/** The axis of x below all rows, and the level beside the foot of each. */
function frame(rows: readonly DrawnRow[], chart: DrawnChart, { x, view, plot, row }: Sheet): Html {
  const range = rangeOf(chart, view);
  const shown = tickUnit(range, chart.x);
  const count = Math.max(2, Math.floor((plot.right - plot.left) / 110));
  const ticks = ticksOf(range, count, (tick) => tickText(tick, chart.x.unit, shown));
  const { label } = chart.x;
  const title = shown === '1' || shown === '' ? label : `${label} (${shown})`;
  const levels = rows.map(({ level }, at) => ({ at, label: level }));
  const foot = (at: number): number => plot.top + (at + 1) * row;
  return axes({ scale: x, ticks, title }, { scale: foot, ticks: levels, title: 'level' }, plot);
}

function strip(
  { chart, placed }: DrawnRow,
  { x, view, plot, shared, head }: Sheet,
  isWorst: boolean,
  id: string,
): Html {
  const { left, right, top, bottom } = plot;
  const y = scaleOf(shared ?? yRange(chart, view), bottom - 2, top + head);
  const box = html`x="${left}" y="${top}" width="${right - left}" height="${bottom - top}"`;
  const { finding } = placed;
  const isFine = finding.verdict === 'pass';
  const rank = isWorst ? (isFine ? 'closest' : 'worst') : '';
  const value = unbroken(shortText(finding));
  const style = isWorst ? 'worst-word' : '';
  const words =
    head > 0
      ? html`<text class="${style}" x="${right}" y="${top + 10}" text-anchor="end">${rank && `${rank}: `}${value}</text>`
      : html`
          ${rank && html`<text class="${style}" x="${right + 8}" y="${bottom - 25}">${rank}</text>`}
          <text class="${style}" x="${right + 8}" y="${bottom - 11}">${value}</text>`;
  return html`
    <clipPath id="clip-${id}"><rect ${box}></rect></clipPath>
    ${isWorst && html`<rect class="worst-row${isFine ? '' : ' off'}" ${box}></rect>`}
    <g clip-path="url(#clip-${id})">${corridors(chart, x, y)}${linesOf(chart, x, y, view)}</g>
    ${words}`;
}

/** Beside a curve there is room for so many letters; a longer value stands without its uncertainty, which the finding below tells. */
const letters = 22;

function shortText(finding: Finding): string {
  const { outcome, unit, shown } = finding;
  const whole = valueText(finding);
  return whole.length <= letters || !outcome.measured
    ? whole
    : figureText(outcome.value, unit, shown, 3);
}
