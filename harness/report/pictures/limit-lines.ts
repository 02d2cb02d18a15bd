import type { Finding } from '../../record/run-record.ts';
import { figureText } from '../words/value-text.ts';
import type { EvidenceChart } from './drawn-chart.ts';

type Line = EvidenceChart['lines'][number];

/** A limit as a height in a chart: of which upright axis, and what one unit of the finding is on it. */
interface Height {
  readonly label: string;
  readonly one?: (finding: Finding) => number;
}

/** Values are told relative to the reference, and the light in its own unit. */
const reference = ({ evidence }: Finding): number =>
  Number(evidence.notes['reference'] ?? Number.NaN);
const relative: Height = { label: 'level relative to the reference' };
const light: Height = { label: 'light', one: reference };

/** Metrics whose limit is a height in the chart that has this upright axis. */
const heights: Readonly<Record<string, Height>> = {
  'largest-visible-step': { label: 'relative change' },
  'level-ratio': relative,
  'level-after-loss': relative,
  'recall-level': relative,
  'highest-level': light,
  'lowest-level': light,
};

/** Metrics whose value is a share of a line that the chart has: another limit than 1 moves the line by as much. */
const shares: ReadonlySet<string> = new Set([
  'svm',
  'ieee1789-low-risk',
  'ieee1789-no-effect',
  'ieee1789-low-risk-components',
  'ieee1789-no-effect-components',
  'phantom-array',
]);

/** The chart with the limit that was asked for, where it is a line in it. */
export function withLimitLine(chart: EvidenceChart, finding: Finding): EvidenceChart {
  const { upper } = finding.limits;
  const height = heights[finding.metric];
  if (height?.label === chart.y.label)
    return withHeights(chart, finding, height.one?.(finding) ?? 1);
  const isMoved = upper !== null && shares.has(finding.metric) && upper > 0 && upper !== 1;
  return isMoved ? { ...chart, lines: chart.lines.map((line) => moved(line, upper)) } : chart;
}

function withHeights(chart: EvidenceChart, finding: Finding, one: number): EvidenceChart {
  const { unit, shown, limits } = finding;
  const ends = chart.lines.flatMap(({ x }) => [x[0] ?? 0, x.at(-1) ?? 0]);
  const x = [Math.min(...ends), Math.max(...ends)];
  const lines = [limits.upper, limits.lower].flatMap((limit): Line[] => {
    if (limit === null || !Number.isFinite(one)) return [];
    const name = `limit ${figureText(limit, unit, shown)}`;
    return [{ name, role: 'limit', x, y: [limit * one, limit * one] }];
  });
  return { ...chart, lines: [...chart.lines, ...lines] };
}

/** What the limit that was asked for leaves of the line. */
function moved(line: Line, share: number): Line {
  if (line.role !== 'limit') return line;
  return {
    ...line,
    name: `limit: ${Number(share.toPrecision(3))} × ${line.name}`,
    y: line.y.map((value) => value * share),
  };
}
