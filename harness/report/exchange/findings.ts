import { parquetWriteBuffer } from 'hyparquet-writer';
import { type FindingLine, findingLines } from '../../record/finding-line.ts';
import type { RunRecord } from '../../record/run-record.ts';
import { csvText } from './csv.ts';

/** A column of the exported findings. Figures are in the SI unit that the column `unit` names. */
interface FindingColumn {
  readonly name: string;
  readonly type: 'STRING' | 'DOUBLE' | 'INT32';
  readonly pick: (line: FindingLine, record: RunRecord) => string | number | null;
}

const columns: readonly FindingColumn[] = [
  { name: 'run', type: 'STRING', pick: (_, record) => record.id },
  { name: 'started', type: 'STRING', pick: (_, record) => record.startedAt },
  { name: 'lamp', type: 'STRING', pick: (_, record) => record.lamp.name },
  { name: 'build', type: 'STRING', pick: (_, record) => record.lamp.build },
  { name: 'spec', type: 'STRING', pick: ({ spec }) => spec },
  { name: 'condition', type: 'STRING', pick: ({ condition }) => condition },
  { name: 'repeat', type: 'INT32', pick: ({ repeat }) => repeat },
  { name: 'metric', type: 'STRING', pick: ({ metric }) => metric },
  { name: 'of', type: 'STRING', pick: ({ of }) => of },
  { name: 'during', type: 'STRING', pick: ({ during }) => during },
  { name: 'unit', type: 'STRING', pick: ({ unit }) => unit },
  { name: 'value', type: 'DOUBLE', pick: ({ value }) => value },
  { name: 'expanded_uncertainty', type: 'DOUBLE', pick: ({ expanded }) => expanded },
  { name: 'lower_limit', type: 'DOUBLE', pick: ({ lower }) => lower },
  { name: 'upper_limit', type: 'DOUBLE', pick: ({ upper }) => upper },
  { name: 'target', type: 'DOUBLE', pick: ({ target }) => target },
  { name: 'not_measurable', type: 'STRING', pick: ({ notMeasurable }) => notMeasurable },
  { name: 'verdict', type: 'STRING', pick: ({ verdict }) => verdict },
];

/** Every finding of a run as CSV, one row each, in the record's order. */
export function renderFindingsCsv(record: RunRecord): string {
  const rows = findingLines(record).map((line) => columns.map(({ pick }) => pick(line, record)));
  return csvText([columns.map(({ name }) => name), ...rows]);
}

/** The same as an Apache Parquet file. */
export function renderFindingsParquet(record: RunRecord): Uint8Array {
  const lines = findingLines(record);
  const columnData = columns.map(({ name, type, pick }) => ({
    name,
    type,
    data: lines.map((line) => pick(line, record)),
    nullable: true,
  }));
  return new Uint8Array(parquetWriteBuffer({ columnData }));
}
