import { outermostPoints } from '../../../measure/signal/outermost.ts';
import type { RunRecord } from '../../../record/run-record.ts';
import type { EvidenceChart } from '../../pictures/drawn-chart.ts';
import { findingCharts } from '../../pictures/finding-charts.ts';
import { findingsWorstFirst } from '../../words/worst-first.ts';
import {
  evidenceKey,
  type PageEvidence,
  type StoredChart,
  type StoredLine,
  type StoredTrace,
} from './page-data.ts';
import type { Trace } from './trace.ts';

/** Points of all charts together, and of all traces: a figure takes about 1.5 bytes of the page, which stays below 3 MB. */
const chartBudget = 500_000;
const traceBudget = 800_000;
/** A line with fewer points than this no longer shows its shape, so its chart is left out instead. */
const fewestPoints = 40;

/**
 * Charts and traces small enough for one page. What did not pass, and the worst finding of every claim, keep all their
 * points; the others share what is left. Figures keep five digits, times eight.
 */
export function storedEvidence(record: RunRecord, traces: readonly Trace[]): PageEvidence {
  const entries = chartEntries(record);
  const must = entries.filter(({ first }) => first);
  const rest = entries.filter(({ first }) => !first);
  const mustShare = Math.min(1, chartBudget / Math.max(1, pointsOf(must)));
  const left = Math.max(0, chartBudget - pointsOf(must));
  const restShare = Math.min(1, left / Math.max(1, pointsOf(rest)));
  const charts: Record<string, StoredChart[]> = {};
  let leftOut = 0;
  for (const { key, first, charts: own } of entries) {
    const share = first ? mustShare : restShare;
    if (!first && share < 1 && share * longestLine(own) < fewestPoints) leftOut++;
    else charts[key] = own.map((chart) => storedChart(chart, share));
  }
  return { charts, traces: storedTraces(traces), leftOut };
}

interface Entry {
  readonly key: string;
  readonly first: boolean;
  readonly charts: readonly EvidenceChart[];
}

function chartEntries({ specs }: RunRecord): Entry[] {
  return specs.flatMap((spec, s) => {
    const worst = findingsWorstFirst(spec)[0]?.finding;
    return spec.conditions.flatMap((condition, c) =>
      condition.findings.flatMap((finding, f) => {
        const charts = findingCharts(finding);
        const first = finding === worst || finding.verdict !== 'pass';
        return charts.length > 0 ? [{ key: evidenceKey(s, c, f), first, charts }] : [];
      }),
    );
  });
}

function pointsOf(entries: readonly Entry[]): number {
  let points = 0;
  for (const { charts } of entries)
    for (const { lines } of charts) for (const { x } of lines) points += x.length * 2;
  return points;
}

function longestLine(charts: readonly EvidenceChart[]): number {
  return Math.max(...charts.flatMap(({ lines }) => lines.map(({ x }) => x.length)), 0);
}

function storedChart(chart: EvidenceChart, share: number): StoredChart {
  const isPath = chart.kind === 'path';
  return { ...chart, lines: chart.lines.map((line) => storedLine(line, share, isPath)) };
}

function storedLine(
  line: EvidenceChart['lines'][number],
  share: number,
  isPath: boolean,
): StoredLine {
  const wanted = Math.max(fewestPoints, Math.floor(line.x.length * share));
  const [xs, ys] = isPath ? thinnedPath(line, wanted) : thinned(line.x, line.y, wanted);
  return { name: line.name, role: line.role, x: storedX(xs), y: ys.map((y) => rounded(y, 5)) };
}

/** Per stretch of the line its lowest and highest point, in their order: peaks stay. */
function thinned(
  x: readonly number[],
  y: readonly number[],
  wanted: number,
): [readonly number[], readonly number[]] {
  if (x.length <= wanted) return [x, y];
  const stretch = Math.ceil((x.length * 2) / wanted);
  const [xs, ys]: [number[], number[]] = [[], []];
  const keep = (k: number): void => {
    xs.push(x[k] ?? 0);
    ys.push(y[k] ?? 0);
  };
  for (let from = 0; from < x.length; from += stretch) {
    const [first, second] = peaks(y, from, Math.min(x.length, from + stretch));
    keep(first);
    if (second !== first) keep(second);
  }
  return [xs, ys];
}

/** A path in a plane has no peaks over x: what lies farthest out stays. */
function thinnedPath(
  { x, y }: Pick<EvidenceChart['lines'][number], 'x' | 'y'>,
  wanted: number,
): [readonly number[], readonly number[]] {
  const places = outermostPoints(Float64Array.from(x), Float64Array.from(y), wanted);
  return [places.map((k) => x[k] ?? 0), places.map((k) => y[k] ?? 0)];
}

/** Where the lowest and the highest value of a stretch are, in their order. */
function peaks(values: readonly number[], from: number, to: number): [number, number] {
  let [low, high] = [from, from];
  let [lowest, highest] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let k = from; k < to; k++) {
    const value = values[k] ?? Number.NaN;
    if (value < lowest) [low, lowest] = [k, value];
    if (value > highest) [high, highest] = [k, value];
  }
  return low < high ? [low, high] : [high, low];
}

function storedX(x: readonly number[]): StoredLine['x'] {
  const [from, last] = [x[0] ?? 0, x[x.length - 1] ?? 0];
  const step = (last - from) / Math.max(1, x.length - 1);
  const even = x.length > 3 && x.every((value, k) => Math.abs(value - from - k * step) < step / 50);
  return even ? { from, step, count: x.length } : x.map((value) => rounded(value, 8));
}

function storedTraces(traces: readonly Trace[]): Record<string, StoredTrace> {
  const all = traces.reduce((sum, trace) => sum + trace.min.length * 2, 0);
  const join = Math.max(1, Math.ceil(all / traceBudget));
  const stored: Record<string, StoredTrace> = {};
  for (const trace of traces) {
    const min = joined(trace.min, join, Math.min);
    const max = joined(trace.max, join, Math.max);
    const single = min.every((value, k) => value === max[k]);
    const x = { from: trace.x0, step: trace.dx * join, count: min.length };
    stored[trace.file] = { unit: trace.unit, x, min, ...(single ? {} : { max }) };
  }
  return stored;
}

function joined(
  values: ArrayLike<number>,
  count: number,
  pick: (a: number, b: number) => number,
): number[] {
  const out: number[] = [];
  for (let from = 0; from < values.length; from += count) {
    const to = Math.min(values.length, from + count);
    let joint = values[from] ?? 0;
    for (let k = from + 1; k < to; k++) joint = pick(joint, values[k] ?? joint);
    out.push(rounded(joint, 5));
  }
  return out;
}

/** A million figures are rounded for a page: powers of ten that are exact spare them the way through a text. */
function rounded(value: number, digits: number): number {
  if (value === 0 || !Number.isFinite(value)) return 0;
  const place = digits - 1 - Math.floor(Math.log10(Math.abs(value)));
  const factor = powersOfTen[place];
  return factor === undefined
    ? Number(value.toPrecision(digits))
    : Math.round(value * factor) / factor;
}

const powersOfTen = Array.from({ length: 16 }, (_, place) => Number(`1e${place}`));
