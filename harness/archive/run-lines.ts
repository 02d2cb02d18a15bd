import type { RunLines } from '../record/compare-runs.ts';
import type { FindingLine } from '../record/finding-line.ts';
import type { RunIndex } from './open-index.ts';

/** Claims and findings of one run out of the index; null where the index does not know the run. */
export function runLines(index: RunIndex, id: string): RunLines | null {
  const run = index.prepare('SELECT run FROM run WHERE id = ?').pluck().get(id);
  if (run === undefined) return null;
  const claims = index.prepare('SELECT spec, verdict FROM claim WHERE run = ?').all(run);
  const findings = index
    .prepare(
      `SELECT s.spec, s.condition, s.repeat, s.metric, s.title, s.of, nullif(s.during, '') AS during, s.ordinal,
         s.unit, s.shown, f.value, f.not_measurable AS notMeasurable, f.expanded, f.lower, f.upper, f.target, f.verdict
       FROM finding f JOIN series s USING (series) WHERE f.run = ? ORDER BY s.series`,
    )
    .all(run);
  return { claims: claims as RunLines['claims'], findings: findings as FindingLine[] };
}
