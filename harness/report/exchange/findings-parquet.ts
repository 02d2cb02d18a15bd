import { parquetWriteBuffer } from 'hyparquet-writer';
import type { RunRecord } from '../../record/run-record.ts';
import { type FindingColumn, findingsTable } from './findings.ts';

const types: Readonly<Record<FindingColumn['kind'], 'STRING' | 'DOUBLE' | 'INT32'>> = {
  text: 'STRING',
  number: 'DOUBLE',
  'whole number': 'INT32',
};

/** Every finding of a run as an Apache Parquet file. */
export function renderFindingsParquet(record: RunRecord): Uint8Array {
  const columnData = findingsTable(record).map(({ name, kind, values }) => ({
    name,
    data: [...values],
    type: types[kind],
    nullable: true,
  }));
  return new Uint8Array(parquetWriteBuffer({ columnData }));
}
