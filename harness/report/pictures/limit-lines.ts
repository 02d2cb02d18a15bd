import type { Finding } from '../../record/run-record.ts';
import { figureText } from '../words/value-text.ts';
import type { EvidenceChart } from './drawn-chart.ts';

type Line = EvidenceChart['lines'][number];

/** Metrics whose limit is a height in the chart that has this upright axis; the value is read from the same axis. */
const heights: Readonly<Record<string, string>> = {
  'largest-visible-step': 'relative change',
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
  if (upper === null) return chart;
  if (heights[finding.metric] === chart.y.label) return withHeight(chart, upper, finding);
  const isMoved = shares.has(finding.metric) && upper > 0 && upper !== 1;
  return isMoved ? { ...chart, lines: chart.lines.map((line) => moved(line, upper)) } : chart;
}

function withHeight(chart: EvidenceChart, upper: number, { unit, shown }: Finding): EvidenceChart {
  const ends = chart.lines.flatMap(({ x }) => [x[0] ?? 0, x.at(-1) ?? 0]);
  const name = `limit ${figureText(upper, unit, shown)}`;
  const x = [Math.min(...ends), Math.max(...ends)];
  return { ...chart, lines: [...chart.lines, { name, role: 'limit', x, y: [upper, upper] }] };
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
