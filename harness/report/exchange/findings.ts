import { type FindingLine, findingLines } from '../../record/finding-line.ts';
import type { RunRecord } from '../../record/run-record.ts';

/** A column of the exported findings: its name and its value. Figures in the SI unit of the column `unit`. */
export interface FindingColumn {
  readonly name: string;
  readonly kind: 'text' | 'number' | 'whole number';
  readonly values: readonly (string | number | null)[];
}

/** Every finding of a run as columns, one row each, in the record's order. */
export function findingsTable(record: RunRecord): FindingColumn[] {
  const lines = findingLines(record);
  const text = (name: string, pick: (line: FindingLine) => string | null): FindingColumn => ({
    name,
    kind: 'text',
    values: lines.map(pick),
  });
  const figure = (name: string, pick: (line: FindingLine) => number | null): FindingColumn => ({
    name,
    kind: 'number',
    values: lines.map(pick),
  });
  return [
    text('run', () => record.id),
    text('started', () => record.startedAt),
    text('lamp', () => record.lamp.name),
    text('build', () => record.lamp.build),
    text('spec', ({ spec }) => spec),
    text('condition', ({ condition }) => condition),
    { ...figure('repeat', ({ repeat }) => repeat), kind: 'whole number' },
    text('metric', ({ metric }) => metric),
    text('of', ({ of }) => of),
    text('during', ({ during }) => during),
    text('unit', ({ unit }) => unit),
    figure('value', ({ value }) => value),
    figure('expanded_uncertainty', ({ expanded }) => expanded),
    figure('lower_limit', ({ lower }) => lower),
    figure('upper_limit', ({ upper }) => upper),
    figure('target', ({ target }) => target),
    text('not_measurable', ({ notMeasurable }) => notMeasurable),
    text('verdict', ({ verdict }) => verdict),
  ];
}
