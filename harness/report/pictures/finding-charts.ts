import type { Finding } from '../../record/run-record.ts';
import type { EvidenceChart } from './drawn-chart.ts';
import { withLimitBand } from './limit-bands.ts';
import { withLimitLine } from './limit-lines.ts';
import { chartsWithSteps } from './step-circles.ts';

/** The pictures of a finding, as its evidence has them, with what its limits allow. */
export function findingCharts(finding: Finding): readonly EvidenceChart[] {
  return chartsWithSteps(finding).map((chart) =>
    withLimitLine(withLimitBand(chart, finding), finding),
  );
}
