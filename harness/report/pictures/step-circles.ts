import { stepRadius } from '../../measure/colorimetry/sdcm.ts';
import type { Finding } from '../../record/run-record.ts';
import { counted } from '../words/prose.ts';
import type { EvidenceChart } from './drawn-chart.ts';
import { withEllipse } from './uncertainty-ellipse.ts';

/** What one unit of the finding is in the u'v' diagram; of other metrics the limit is no circle about the target. */
const radiusOfOne: Readonly<Record<string, number>> = {
  'sdcm-steps': stepRadius,
  'uv-shift': 1,
  'uv-distance': 1,
  'mixing-error': 1,
};

/**
 * The charts of a finding, as its evidence has them; about the target of a u'v' diagram come the circle that the limit
 * allows and that of one step, so that a point is seen to lie in or out, and how far. A step is a circle of radius
 * 0.0011 in u'v' (CIE TN 001:2014 3.2, from memory).
 */
export function chartsWithSteps(finding: Finding): readonly EvidenceChart[] {
  const { charts } = finding.evidence;
  const unit = radiusOfOne[finding.metric];
  const { upper } = finding.limits;
  if (unit === undefined || upper === null) return charts;
  return charts.map((chart) => withEllipse(withCircles(chart, upper * unit), finding));
}

function withCircles(chart: EvidenceChart, allowed: number): EvidenceChart {
  const target = chart.lines.find(({ role, x }) => role === 'target' && x.length === 1);
  if (chart.kind !== 'path' || !target) return chart;
  const steps = Number((allowed / stepRadius).toPrecision(3));
  const limit = circle(target, allowed, `limit: ${counted(steps, 'step')}`, 'limit');
  const step = circle(target, stepRadius, 'one step about the target', 'target');
  return { ...chart, lines: [...chart.lines, limit, ...(steps > 1 ? [step] : [])] };
}

/** Round on a screen, and too few for a page to thin them (see stored-evidence.ts). */
const corners = 36;

type Line = EvidenceChart['lines'][number];

function circle(
  centre: Pick<Line, 'x' | 'y'>,
  radius: number,
  name: string,
  role: Line['role'],
): Line {
  const [u = 0] = centre.x;
  const [v = 0] = centre.y;
  const angles = Array.from({ length: corners + 1 }, (_, k) => (2 * Math.PI * k) / corners);
  return {
    name,
    role,
    x: angles.map((angle) => u + radius * Math.cos(angle)),
    y: angles.map((angle) => v + radius * Math.sin(angle)),
  };
}
