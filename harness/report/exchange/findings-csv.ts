import type { RunRecord } from '../../record/run-record.ts';
import { csvText } from './csv.ts';
import { findingsTable } from './findings.ts';

/** Every finding of a run as CSV. */
export function renderFindingsCsv(record: RunRecord): string {
  const columns = findingsTable(record);
  const rows = columns[0]!.values.map((_, row) => columns.map(({ values }) => values[row] ?? null));
  return csvText([columns.map(({ name }) => name), ...rows]);
}
