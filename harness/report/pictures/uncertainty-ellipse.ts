import { coverageEllipse } from '../../measure/colorimetry/uv-covariance.ts';
import type { Finding } from '../../record/run-record.ts';
import type { EvidenceChart } from './drawn-chart.ts';

type Line = EvidenceChart['lines'][number];

/** Round on a screen, and too few for a page to thin them (see stored-evidence.ts). */
const corners = 36;

/**
 * What the uncertainty leaves open about the middle of the readings in a u'v' diagram: the ellipse that holds it to 95 %. Nothing where
 * the finding does not say how well u' and v' are known.
 */
export function withEllipse(chart: EvidenceChart, { evidence }: Finding): EvidenceChart {
  const measured = chart.lines.find(({ role }) => role === 'measured');
  const note = (name: string): number => Number(evidence.notes[name] ?? Number.NaN);
  const [u, v] = [note("standard-uncertainty-u'"), note("standard-uncertainty-v'")];
  const shared = note("correlation-u'-v'") * u * v;
  if (chart.kind !== 'path' || !measured || !Number.isFinite(shared)) return chart;
  const { major, minor, angle } = coverageEllipse({ first: u * u, second: v * v, shared });
  const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
  const turns = Array.from({ length: corners + 1 }, (_, k) => (2 * Math.PI * k) / corners);
  const [centreU, centreV] = [meanOf(measured.x), meanOf(measured.y)];
  const ellipse: Line = {
    name: 'mean colour to 95 %',
    role: 'fit',
    x: turns.map((at) => centreU + major * Math.cos(at) * cos - minor * Math.sin(at) * sin),
    y: turns.map((at) => centreV + major * Math.cos(at) * sin + minor * Math.sin(at) * cos),
  };
  return { ...chart, lines: [...chart.lines, ellipse] };
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
}
