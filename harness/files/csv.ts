import { type CsvError, parse } from 'csv-parse/sync';
import { type ColumnTitle, type CsvField, columnTitle, readCsvNumber } from './csv-field.ts';
import { evenRate, type Instant } from './even-rate.ts';
import { type Decoded, decoded, faulty } from './file-fault.ts';
import { overloadAdvice, overloadMark } from './overload-mark.ts';
import { printedStep } from './printed-step.ts';

/** A column of samples. */
interface CsvColumn {
  /** Its header without the unit, or `column 2` in a file without header. */
  readonly name: string;
  /** Unit from the header, e.g. `lx` of `warm (lx)`; null where it says none. */
  readonly unit: string | null;
  readonly samples: Float64Array;
  /** Step of the printed numbers, in the column's unit; 0 where it does not matter. */
  readonly step: number;
}

export interface CsvTable {
  /** Sampling rate, Hz. */
  readonly rate: number;
  /** First instant of the time column, s; 0 without one. */
  readonly start: number;
  readonly columns: readonly CsvColumn[];
}

interface Row {
  readonly line: number;
  readonly fields: readonly string[];
}

/** As the parser hands out a row with `info`. */
interface ParsedRow {
  readonly record: string[];
  readonly info: { readonly lines: number };
}

/**
 * Reads a table of samples.
 *
 * Input: the text, and the sampling rate in Hz where the table has no time column. Fields are separated by commas,
 * semicolons or tabs; numbers have a decimal point. One header row (and one row of units) may come first; lines that
 * begin with # are comments. The time column is the one whose header says time, or the first of several in a file
 * without header when no rate is given.
 * Output: the rate, and the samples of every column but time, not scaled.
 * Faults, with line and column: text or nothing where a number belongs, a decimal comma, NaN or infinity, ragged rows,
 * an instrument's mark of an overload, quotation marks that do not match, time steps that are not equal, no rate, no rows.
 */
export function readCsv(text: string, givenRate?: number): Decoded<CsvTable> {
  const content = text.replace(/^\uFEFF/, '');
  const rows = splitRows(content);
  if (!rows.ok) return rows;
  const [first] = rows.value;
  if (!first)
    return faulty(
      'empty',
      'expected rows of numbers in the CSV file, found none: record something first',
    );
  const commas = decimalCommas(first, rows.value);
  if (commas) return commas;
  const ragged = rows.value.find(({ fields }) => fields.length !== first.fields.length);
  if (ragged) return raggedRow(first, ragged);

  const heading = readHeading(rows.value, first);
  if (!heading.ok) return heading;
  const columns = readColumns(heading.value);
  if (!columns.ok) return columns;
  return assemble(heading.value, columns.value, givenRate);
}

/** Tables of numbers hold no quotation marks; splitting them at the separators is exact, and many times faster. */
function splitRows(text: string): Decoded<Row[]> {
  const delimiter = delimiterOf(text);
  return text.includes('"') ? splitQuoted(text, delimiter) : decoded(splitPlain(text, delimiter));
}

function splitPlain(text: string, delimiter: string): Row[] {
  const rows: Row[] = [];
  for (const [k, line] of text.split(/\r\n|\n|\r/).entries()) {
    if (line.trim() === '' || /^\s*#/.test(line)) continue;
    const fields = line.split(delimiter).map((field) => field.trim());
    if (fields.some((field) => field !== '')) rows.push({ line: k + 1, fields });
  }
  return rows;
}

function splitQuoted(text: string, delimiter: string): Decoded<Row[]> {
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
        .map(({ record, info }) => ({ line: info.lines, fields: record }))
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

/**
 * Decimal commas in a table that is separated by commas too fall apart into whole numbers. Two marks betray them: twice
 * as many fields as the header has names, or second halves that begin with a zero, as in 0,05.
 */
function decimalCommas(first: Row, rows: readonly Row[]): ReturnType<typeof faulty> | null {
  const row = rows.find(({ fields }) => {
    const halves = fields.length % 2 === 0 && fields.every((field) => /^[+-]?\d+$/.test(field));
    const doubled = fields.length === 2 * first.fields.length;
    return halves && (doubled || fields.some((field, k) => k % 2 === 1 && /^0\d/.test(field)));
  });
  if (!row) return null;
  const [whole, part] = row.fields;
  return faulty(
    'decimal-comma',
    `expected numbers with a decimal point, found the decimal comma of "${whole},${part}": write ${whole}.${part}`,
    { line: row.line, column: 1 },
  );
}

function raggedRow(first: Row, ragged: Row): ReturnType<typeof faulty> {
  return faulty(
    'ragged',
    `expected ${fieldCount(first)} as in line ${first.line}, found ${fieldCount(ragged)}: mend the row; if the numbers have decimal commas, write decimal points`,
    { line: ragged.line, column: Math.min(first.fields.length, ragged.fields.length) + 1 },
  );
}

function fieldCount({ fields }: Row): string {
  return fields.length === 1 ? '1 field' : `${fields.length} fields`;
}

interface Heading {
  readonly titles: readonly ColumnTitle[];
  /** Rows of numbers, and the line of the first of them. */
  readonly body: readonly Row[];
  readonly firstLine: number;
}

/** A first row without any number in it is a header; a second one with units in brackets belongs to it. */
function readHeading(rows: readonly Row[], first: Row): Decoded<Heading> {
  const hasHeader = first.fields.every((field) => readCsvNumber(field).kind === 'text');
  if (!hasHeader) {
    const titles = first.fields.map((_, k) => ({ name: `column ${k + 1}`, unit: null }));
    return decoded({ titles, body: rows, firstLine: first.line });
  }
  const [, second] = rows;
  const units = second?.fields.every((field) => /^(\(.*\)|\[.*\]|)$/.test(field))
    ? second.fields
    : [];
  const titles = first.fields.map((field, k) => columnTitle(`${field} ${units[k] ?? ''}`, k + 1));
  const names = titles.map(({ name }) => name);
  const twice = names.findIndex((name, k) => names.indexOf(name) !== k);
  if (twice >= 0)
    return faulty('header', `two columns are called "${names[twice]}": give each its own name`, {
      line: first.line,
      column: twice + 1,
    });
  const body = rows.slice(units.length > 0 ? 2 : 1);
  const [top] = body;
  if (!top)
    return faulty('empty', 'the CSV file has a header and no rows: record something first', {
      line: first.line,
    });
  return decoded({ titles, body, firstLine: top.line });
}

interface Column extends Omit<CsvColumn, 'step'> {
  /** From 0. */
  readonly place: number;
}

/** All fields as numbers, column by column. */
function readColumns({ titles, body }: Heading): Decoded<readonly Column[]> {
  const columns = titles.map(
    (title, place): Column => ({ ...title, place, samples: new Float64Array(body.length) }),
  );
  for (const [k, { line, fields }] of body.entries()) {
    for (const { place, samples } of columns) {
      const field = fields[place] ?? '';
      const read = readCsvNumber(field);
      if (read.kind !== 'number') return badField(read.kind, field, line, place + 1);
      const mark = overloadMark(read.value);
      if (mark) return faulty('overload', overloadAdvice(mark), { line, column: place + 1 });
      samples[k] = read.value;
    }
  }
  return decoded(columns);
}

function badField(
  kind: Exclude<CsvField['kind'], 'number'>,
  field: string,
  line: number,
  column: number,
): ReturnType<typeof faulty> {
  const shown = field.length > 40 ? `${field.slice(0, 40)}…` : field;
  const position = { line, column };
  if (kind === 'decimal-comma')
    return faulty(
      'decimal-comma',
      `expected a number with a decimal point, found the decimal comma of "${shown}": write ${shown.replace(',', '.')}`,
      position,
    );
  const found = kind === 'blank' ? 'an empty field' : `"${shown}"`;
  const advice =
    kind === 'not-finite'
      ? 'remove the samples that were not recorded'
      : 'mend the field or remove the row';
  return faulty('not-a-number', `expected a finite number, found ${found}: ${advice}`, position);
}

function assemble(
  { body, firstLine }: Heading,
  columns: readonly Column[],
  givenRate: number | undefined,
): Decoded<CsvTable> {
  const time = findTime(columns, givenRate);
  const others = columns
    .filter((column) => column !== time)
    .map(({ name, unit, samples, place }) => {
      const texts = body.map(({ fields }) => fields[place] ?? '');
      return { name, unit, samples, step: printedStep(texts, samples) };
    });
  if (!time) {
    if (givenRate !== undefined) return decoded({ rate: givenRate, start: 0, columns: others });
    return faulty(
      'no-rate',
      'the CSV file has no time column: name one "time" in a header, or give the sampling rate (--rate "10 kS/s")',
    );
  }
  if (others.length === 0)
    return faulty('empty', 'the CSV file has a time column and no samples beside it', {
      line: firstLine,
    });
  const timing = evenRate(instantsOf(time, body), time, time.place + 1);
  if (!timing.ok) return timing;
  const { rate, start } = timing.value;
  if (givenRate !== undefined && Math.abs(givenRate / rate - 1) > 1e-3)
    return faulty(
      'rate-conflict',
      `the time column says ${rate} Hz, the given rate is ${givenRate} Hz: leave one of them out`,
      { line: firstLine, column: time.place + 1 },
    );
  return decoded({ rate, start, columns: others });
}

function instantsOf({ samples, place }: Column, body: readonly Row[]): readonly Instant[] {
  return body.map(({ fields, line }, k) => ({
    value: samples[k] ?? Number.NaN,
    text: fields[place] ?? '',
    line,
  }));
}

function findTime(columns: readonly Column[], givenRate: number | undefined): Column | undefined {
  const named = columns.find(({ name }) => /^(t|time|seconds?)$/i.test(name));
  if (named) return named;
  const headless = columns.every(({ name, place }) => name === `column ${place + 1}`);
  return headless && columns.length > 1 && givenRate === undefined ? columns[0] : undefined;
}
