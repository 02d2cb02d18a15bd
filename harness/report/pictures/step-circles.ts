import { stepRadius } from '../../measure/colorimetry/sdcm.ts';
import type { Finding } from '../../record/run-record.ts';

type Chart = Finding['evidence']['charts'][number];

/** What one unit of the finding is in the u'v' diagram; of other metrics the limit is no circle about the target. */
const radiusOfOne: Readonly<Record<string, number>> = {
  'sdcm-steps': stepRadius,
  'uv-shift': 1,
};

/**
 * The charts of a finding, as its evidence has them; about the target of a u'v' diagram come the circle that the limit
 * allows and that of one step, so that a point is seen to lie in or out, and how far. A step is a circle of radius
 * 0.0011 in u'v' (CIE TN 001:2014 3.2, from memory).
 */
export function chartsWithSteps(finding: Finding): readonly Chart[] {
  const { charts } = finding.evidence;
  const unit = radiusOfOne[finding.metric];
  const { upper } = finding.limits;
  if (unit === undefined || upper === null) return charts;
  return charts.map((chart) => withCircles(chart, upper * unit));
}

function withCircles(chart: Chart, allowed: number): Chart {
  const target = chart.lines.find(({ role, x }) => role === 'target' && x.length === 1);
  if (chart.kind !== 'path' || !target) return chart;
  const [u, v] = [target.x[0]!, target.y[0]!];
  const steps = Number((allowed / stepRadius).toPrecision(3));
  const circles = [
    circle(`limit: ${steps} ${steps === 1 ? 'step' : 'steps'}`, 'limit', u, v, allowed),
  ];
  if (steps > 1) circles.push(circle('one step about the target', 'target', u, v, stepRadius));
  return { ...chart, lines: [...chart.lines, ...circles] };
}

/** Round on a screen, and too few for a page to thin them (see stored-evidence.ts). */
const corners = 36;

function circle(
  name: string,
  role: Chart['lines'][number]['role'],
  u: number,
  v: number,
  radius: number,
): Chart['lines'][number] {
  const angles = Array.from({ length: corners + 1 }, (_, k) => (2 * Math.PI * k) / corners);
  return {
    name,
    role,
    x: angles.map((angle) => u + radius * Math.cos(angle)),
    y: angles.map((angle) => v + radius * Math.sin(angle)),
  };
}
