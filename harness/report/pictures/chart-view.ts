import { extent } from 'd3-array';
import type { AxisRange } from './axis.ts';
import type { DrawnChart, DrawnLine } from './drawn-chart.ts';
import { frequencyRange } from './spectrogram.ts';

/** Part of the level axis. */
export interface Span {
  readonly from: number;
  readonly to: number;
}

/** What a chart shows before anybody zooms: arrivals close up, for they lie within thousandths of the fade. */
export function firstView(chart: DrawnChart): Span {
  const whole = xRange(chart);
  if (!rowNames(chart)) return whole;
  const ends = chart.lines
    .filter(({ role }) => role === 'measured')
    .map(({ x }) => x.at(-1) ?? whole.to);
  const [first = whole.to, last = whole.to] = extent(ends);
  const around = Math.max((last - first) * 1.5, (whole.to - whole.from) / 200);
  return { from: Math.max(whole.from, first - around), to: last + around };
}

/** What was measured, from its first figure to its last: a limit line may reach far beyond. */
export function xRange({ kind, lines, marks, x }: DrawnChart): Span {
  // In a diagram of colour the target belongs to the picture as much as the points do.
  const own = lines.filter(({ role }) => role === 'measured' || kind === 'path');
  const [from, to] = xExtent(own, x.scale) ?? xExtent(lines, x.scale) ?? [0, 1];
  if (from === to) return { from: from - 0.5, to: to + 0.5 };
  // A mark may lie just outside of the record.
  const near = marks.map(({ at }) => at).filter((at) => at > to && at < to + (to - from) * 0.05);
  return { from, to: Math.max(to, ...near) };
}

type AxisScale = DrawnChart['x']['scale'];

function xExtent(lines: readonly DrawnLine[], scale: AxisScale): [number, number] | null {
  return spread(lines.flatMap((line) => spread(line.x, scale) ?? []));
}

/** Least and greatest figure; a logarithmic axis has no place for 0 and below. */
function spread(values: readonly number[], scale?: AxisScale): [number, number] | null {
  const [low, high] = extent(values, (value) =>
    scale === 'log' && value <= 0 ? Number.NaN : value,
  );
  return low === undefined ? null : [low, high];
}

/** The figures of all lines within a view, with air above and below. */
export function yRange(chart: DrawnChart, view: Span): AxisRange {
  const { kind, y } = chart;
  if (kind === 'spectrogram') return frequencyRange(chart);
  const ends = chart.lines.flatMap((line) => {
    const inView = (values: readonly number[]) =>
      kind === 'path'
        ? values
        : [...values.filter((_, k) => isWithin(line.x[k], view)), ...atEnds(line, view)];
    return [line.y, line.low ?? []].flatMap((values) => spread(inView(values), y.scale) ?? []);
  });
  const found = spread(ends);
  return y.scale === 'log' ? logRange(found, kind) : linearRange(found, kind);
}

/** Where a line that was not measured enters and leaves the view: a limit of two points far outside is seen all along. */
function atEnds({ role, x, y }: DrawnLine, view: Span): number[] {
  if (role === 'measured') return [];
  return [view.from, view.to].flatMap((at) => {
    const k = x.findIndex((place) => place > at);
    const [x0, x1, y0, y1] = [x[k - 1], x[k], y[k - 1], y[k]];
    if (x0 === undefined || x1 === undefined || y0 === undefined || y1 === undefined) return [];
    return [y0 + ((y1 - y0) * (at - x0)) / (x1 - x0)];
  });
}

function logRange(found: [number, number] | null, kind: DrawnChart['kind']): AxisRange {
  if (!found) return { from: 0.1, to: 1, log: true };
  const [low, high] = found;
  const air = low === high ? 2 : 1.15;
  // The smallest component of a spectrum has a stem, too.
  return { from: low / (kind === 'spectrum' ? 3 : air), to: high * air, log: true };
}

function linearRange(found: [number, number] | null, kind: DrawnChart['kind']): AxisRange {
  if (!found) return { from: 0, to: 1, log: false };
  const [low, high] = found;
  const size = Math.max(Math.abs(low), Math.abs(high));
  // Finer differences are rounding, which no axis could be divided by.
  const span = high - low > size * 1e-6 ? high - low : size || 1;
  // A record that lies near zero is drawn from zero: a shift of its foot would read as a level.
  const fromZero = (kind === 'waveform' || kind === 'spectrum') && low >= 0 && low < high * 0.25;
  return { from: fromZero ? 0 : low - span * 0.06, to: high + span * 0.06, log: false };
}

/** Arrivals have a row a channel; the rows are called by the channels instead of by numbers. */
export function rowNames({ kind, lines }: DrawnChart): ReadonlyMap<number, string> | null {
  if (kind !== 'arrivals') return null;
  const names = new Map<number, string>();
  for (const { name, role, y } of lines) {
    if (role === 'corridor') continue;
    const [row] = y;
    if (row === undefined || y.some((value) => value !== row)) return null;
    if (!names.has(row)) names.set(row, name);
  }
  return names;
}

export function isWithin(value: number | undefined, { from, to }: Span): boolean {
  return value !== undefined && value >= from && value <= to;
}
