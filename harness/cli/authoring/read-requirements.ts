import { type CsvError, parse } from 'csv-parse/sync';
import type { Requirement } from '../../record/traced.ts';
import { Complaint } from '../../workflow/complaint.ts';

/**
 * Requirements from CSV (RFC 4180) with a header: the column `id`, and `text` or `title` where there is one. Throws a
 * Complaint on anything else.
 */
export function readRequirements(text: string, file: string): readonly Requirement[] {
  const rows = parseRows(text, file);
  const header = (rows[0] ?? []).map((title) => title.trim().toLowerCase());
  const id = header.indexOf('id');
  if (id < 0) {
    const found = header.filter(Boolean).join(', ') || 'nothing';
    throw bad(file, 1, `expected a header with the column "id" (and "text"), found ${found}`);
  }
  const words = header.findIndex((title) => title === 'text' || title === 'title');
  const seen = new Map<string, number>();
  return rows.slice(1).map((row, index) => {
    const line = index + 2;
    const own = (row[id] ?? '').trim();
    if (own === '') throw bad(file, line, 'expected an id, found none');
    const before = seen.get(own);
    if (before !== undefined) throw bad(file, line, `the id ${own} stands in row ${before} too`);
    seen.set(own, line);
    return { id: own, text: (row[words] ?? '').trim() };
  });
}

function parseRows(text: string, file: string): string[][] {
  try {
    return parse(text, { bom: true, skip_empty_lines: true }) as string[][];
  } catch (error) {
    const { message, lines } = error as CsvError & { lines?: number };
    throw bad(
      file,
      lines ?? 1,
      `expected CSV with the same number of cells in every row: ${message}`,
    );
  }
}

function bad(file: string, row: number, message: string): Complaint {
  return new Complaint('bad-file', `${file}, row ${row}: ${message}`);
}
