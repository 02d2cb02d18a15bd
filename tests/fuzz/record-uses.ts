import { addRun } from '../../harness/archive/add-run.ts';
import { findTrend, knownMetrics } from '../../harness/archive/find-trend.ts';
import { openIndex } from '../../harness/archive/open-index.ts';
import { compareRuns } from '../../harness/record/compare-runs.ts';
import { contradictionsOf } from '../../harness/record/contradictions.ts';
import { findingLines } from '../../harness/record/finding-line.ts';
import type { RunRecord } from '../../harness/record/run-record.ts';
import { judgeTrend } from '../../harness/record/trend.ts';
import { renderFindingsCsv } from '../../harness/report/exchange/findings.ts';
import { renderJunit } from '../../harness/report/exchange/junit.ts';
import { renderOpenMetrics } from '../../harness/report/exchange/open-metrics.ts';
import { renderReleaseReport } from '../../harness/report/pages/release/release-report.ts';
import { renderPage } from '../../harness/report/pages/run/run-page.ts';
import { renderTrendPage } from '../../harness/report/pages/trend-page.ts';
import { renderSummary } from '../../harness/report/text/summary.ts';
import { renderTrendText } from '../../harness/report/text/trend-text.ts';

/** Everything that a stored record is made into: a record that a reader lets through must not hang any of it. */
export function useRecord(record: RunRecord): void {
  contradictionsOf(record);
  renderSummary(record, { colour: false, columns: 100 });
  renderJunit(record, 'extended');
  renderFindingsCsv(record);
  renderPage({ record, traces: [] });
  const sheet = { contentHash: null, issuedAt: '2026-05-01T00:00:00Z', signatures: [], doubts: [] };
  renderReleaseReport({ record, ...sheet });
  const lines = { claims: record.specs, findings: findingLines(record) };
  compareRuns(lines, lines);
}

/** A trend over this run and others: the same one again, and sound ones before and after it. */
export function useTrend(record: RunRecord, sound: readonly RunRecord[]): void {
  const index = openIndex(':memory:');
  try {
    for (const [k, one] of [...sound, record, record].entries()) {
      const folder = `run-${k}`;
      addRun(index, { ...one, id: `${k}`.padStart(16, '0') }, { ...place, folder });
    }
    for (const metric of [undefined, ...knownMetrics(index)]) {
      const trends = findTrend(index, { metric, last: 100, withFaults: true }).map(judgeTrend);
      renderTrendText(trends, { colour: false, columns: 100, top: 10 });
      renderTrendPage(trends);
      renderOpenMetrics(trends.map(({ series }) => series));
    }
  } finally {
    index.close();
  }
}

const place = { folder: 'run', sealed: true, journalBytes: null, decision: null };
