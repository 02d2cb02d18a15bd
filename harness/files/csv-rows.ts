import { type CsvError, parse } from 'csv-parse/sync';
import { type Decoded, decoded, faulty } from './file-fault.ts';

/** One row of a table that is neither blank nor a comment. */
export interface CsvRow {
  /** From 1. */
  readonly line: number;
  /** Without the blanks around them. */
  readonly fields: readonly string[];
}

/** As the parser hands out a row with `info`. */
interface ParsedRow {
  readonly record: string[];
  readonly info: { readonly lines: number };
}

/** Characters of a table with quotation marks: its rows are all held at once, as texts. */
const longestQuoted = 32e6;

/**
 * The rows of a table, to be gone through as often as wanted. A table without quotation marks is cut up anew each time,
 * so that a long one costs no more memory than its text.
 * Faults: quotation marks that do not match, or in too long a table.
 */
export function csvRows(text: string): Decoded<Iterable<CsvRow>> {
  const delimiter = delimiterOf(text);
  const mended = delimiter !== ',' && hasDecimalCommas(text) ? withPoints : asWritten;
  if (!text.includes('"'))
    return decoded({ [Symbol.iterator]: () => plainRows(text, delimiter, mended) });
  if (text.length > longestQuoted)
    return faulty(
      'too-large',
      `expected at most ${longestQuoted / 1e6} MB of a CSV file whose fields stand in quotation marks, found ${Math.round(text.length / 1e6)} MB: export the record without quotation marks, or as NPY`,
    );
  return quotedRows(text, delimiter, mended);
}

type Mended = (fields: readonly string[]) => readonly string[];

const asWritten: Mended = (fields) => fields;

const withComma = /^[+-]?\d*,\d+(?:[eE][+-]?\d+)?$/;

/** Numbers as they are written in much of Europe, with the point that the rest of the program knows. */
const withPoints: Mended = (fields) =>
  fields.map((field) => (withComma.test(field) ? field.replace(',', '.') : field));

/** In a table that semicolons or tabs separate. Where some numbers have points, a comma may group thousands: nobody knows. */
function hasDecimalCommas(text: string): boolean {
  if (!/(?:^|[;\t"])[ ]*[+-]?\d*,\d/m.test(text)) return false;
  return !/(?:^|[;\t"])[ ]*[+-]?\d*\.\d+(?:[eE][+-]?\d+)?[ ]*(?:[;\t"\r]|$)/m.test(text);
}

/** Tables of numbers hold no quotation marks; cutting them at the separators is exact, and many times faster. */
function* plainRows(text: string, delimiter: string, mended: Mended): Generator<CsvRow> {
  const lines = /\r(?!\n)/.test(text) ? text.replace(/\r(?!\n)/g, '\n') : text;
  let line = 0;
  for (let at = 0; at <= lines.length; ) {
    const found = lines.indexOf('\n', at);
    const end = found < 0 ? lines.length : found;
    const row = lines.slice(at, end);
    at = end + 1;
    line++;
    if (row.trimStart().startsWith('#')) continue;
    const fields = mended(cutAt(row, delimiter));
    if (fields.some(isFilled)) yield { line, fields };
  }
}

function isFilled(field: string): boolean {
  return field !== '';
}

/** Much faster than `split` on short rows, of which there are millions. */
function cutAt(row: string, delimiter: string): string[] {
  const fields: string[] = [];
  let from = 0;
  for (let to = row.indexOf(delimiter); to >= 0; to = row.indexOf(delimiter, from)) {
    fields.push(row.slice(from, to).trim());
    from = to + 1;
  }
  fields.push(row.slice(from).trim());
  return fields;
}

function quotedRows(text: string, delimiter: string, mended: Mended): Decoded<readonly CsvRow[]> {
  try {
    const parsed = parse(text, {
      delimiter,
      info: true,
      comment: '#',
      comment_no_infix: true,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as ParsedRow[];
    return decoded(
      parsed
        .map(({ record, info }) => ({ line: info.lines, fields: mended(record) }))
        .filter(({ fields }) => fields.some((field) => field !== '')),
    );
  } catch (error) {
    const { message, lines } = error as CsvError & { readonly lines?: number };
    return faulty('quoting', `the CSV file cannot be split into fields: ${message}`, {
      ...(lines !== undefined && { line: lines }),
    });
  }
}

/** The separator of the first row that is no comment. A tab or a semicolon beats a comma: it may be a decimal one. */
function delimiterOf(text: string): string {
  const row = text.split(/\r?\n|\r/, 200).find((line) => line.trim() !== '' && !/^\s*#/.test(line));
  if (row?.includes('\t')) return '\t';
  return row?.includes(';') ? ';' : ',';
}
