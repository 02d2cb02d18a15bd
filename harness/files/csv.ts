import { type ColumnTitle, type CsvField, columnTitle, readCsvNumber } from './csv-field.ts';
import { type CsvRow, csvRows } from './csv-rows.ts';
import { evenRate } from './even-rate.ts';
import { type Decoded, decoded, faulty } from './file-fault.ts';
import { overloadAdvice, overloadMark } from './overload-mark.ts';
import { PrintedDigits, printedStep } from './printed-step.ts';

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

/**
 * Reads a table of samples.
 *
 * Input: the text, and the sampling rate in Hz where the table has no time column. Fields are separated by commas,
 * semicolons or tabs; numbers have a decimal point, or a decimal comma throughout where semicolons or tabs separate them. One header row (and one row of units) may come first; lines that
 * begin with # are comments. The time column is the one whose header says time, or the first of several in a file
 * without header when no rate is given.
 * Output: the rate, and the samples of every column but time, not scaled.
 * Faults, with line and column: text or nothing where a number belongs, a decimal comma, NaN or infinity, ragged rows,
 * an instrument's mark of an overload, quotation marks that do not match, time steps that are not equal, no rate, no rows,
 * and quotation marks in more text than is held at once.
 */
export function readCsv(text: string, givenRate?: number): Decoded<CsvTable> {
  const content = text.replace(/^\uFEFF/, '');
  const rows = csvRows(content);
  if (!rows.ok) return rows;
  const shape = shapeOf(rows.value);
  if (!shape.ok) return shape;
  const heading = readHeading(rows.value, shape.value);
  if (!heading.ok) return heading;
  const columns = readColumns(heading.value);
  if (!columns.ok) return columns;
  return assemble(columns.value, givenRate);
}

/** How many rows there are, and the first two of them. */
interface Shape {
  readonly first: CsvRow;
  readonly second: CsvRow | undefined;
  readonly count: number;
}

/** One look at every row: a table has as many fields in each, and no decimal commas among its separators. */
function shapeOf(rows: Iterable<CsvRow>): Decoded<Shape> {
  let [first, second, ragged]: (CsvRow | undefined)[] = [];
  let count = 0;
  for (const row of rows) {
    count++;
    if (!first) first = row;
    else second ??= row;
    if (hasDecimalCommas(first, row)) return decimalComma(row);
    if (row.fields.length !== first.fields.length) ragged ??= row;
  }
  if (!first)
    return faulty(
      'empty',
      'expected rows of numbers in the CSV file, found none: record something first',
    );
  return ragged ? raggedRow(first, ragged) : decoded({ first, second, count });
}

/**
 * Decimal commas in a table that is separated by commas too fall apart into whole numbers. Two marks betray them: twice
 * as many fields as the header has names, or second halves that begin with a zero, as in 0,05.
 */
function hasDecimalCommas(first: CsvRow, { fields }: CsvRow): boolean {
  if (fields.length % 2 !== 0) return false;
  const doubled = fields.length === 2 * first.fields.length;
  if (!doubled && !fields.some((field, k) => k % 2 === 1 && /^0\d/.test(field))) return false;
  return fields.every((field) => /^[+-]?\d+$/.test(field));
}

function decimalComma({ line, fields: [whole, part] }: CsvRow): ReturnType<typeof faulty> {
  return faulty(
    'decimal-comma',
    `expected numbers with a decimal point, found the decimal comma of "${whole},${part}": write ${whole}.${part}`,
    { line, column: 1 },
  );
}

function raggedRow(first: CsvRow, ragged: CsvRow): ReturnType<typeof faulty> {
  return faulty(
    'ragged',
    `expected ${fieldCount(first)} as in line ${first.line}, found ${fieldCount(ragged)}: mend the row; if the numbers have decimal commas, write decimal points`,
    { line: ragged.line, column: Math.min(first.fields.length, ragged.fields.length) + 1 },
  );
}

function fieldCount({ fields }: CsvRow): string {
  return fields.length === 1 ? '1 field' : `${fields.length} fields`;
}

interface Heading {
  readonly titles: readonly ColumnTitle[];
  readonly rows: Iterable<CsvRow>;
  /** Rows before the first of numbers. */
  readonly skipped: number;
  /** Rows of numbers. */
  readonly count: number;
}

/** A first row without any number in it is a header; a second one with units in brackets belongs to it. */
function readHeading(rows: Iterable<CsvRow>, { first, second, count }: Shape): Decoded<Heading> {
  const hasHeader = first.fields.every((field) => readCsvNumber(field).kind === 'text');
  if (!hasHeader) {
    const titles = first.fields.map((_, k) => ({ name: `column ${k + 1}`, unit: null }));
    return decoded({ titles, rows, skipped: 0, count });
  }
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
  const skipped = units.length > 0 ? 2 : 1;
  if (count === skipped)
    return faulty('empty', 'the CSV file has a header and no rows: record something first', {
      line: first.line,
    });
  return decoded({ titles, rows, skipped, count: count - skipped });
}

interface Column extends Omit<CsvColumn, 'step'> {
  /** From 0. */
  readonly place: number;
  readonly digits: PrintedDigits;
}

interface Columns {
  readonly columns: readonly Column[];
  /** Line of each row. */
  readonly lines: Uint32Array;
}

/** All fields as numbers, column by column. */
function readColumns({ titles, rows, skipped, count }: Heading): Decoded<Columns> {
  const lines = new Uint32Array(count);
  const columns = titles.map((title, place): Column => {
    const samples = new Float64Array(count);
    return { ...title, place, samples, digits: new PrintedDigits() };
  });
  let k = -skipped;
  for (const { line, fields } of rows) {
    if (k++ < 0) continue;
    lines[k - 1] = line;
    for (const { place, samples, digits } of columns) {
      const field = fields[place] ?? '';
      const read = readCsvNumber(field);
      if (read.kind !== 'number') return badField(read.kind, field, line, place + 1);
      const mark = overloadMark(read.value);
      if (mark) return faulty('overload', overloadAdvice(mark), { line, column: place + 1 });
      samples[k - 1] = read.value;
      digits.take(field, read.value);
    }
  }
  return decoded({ columns, lines });
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

function assemble({ columns, lines }: Columns, givenRate: number | undefined): Decoded<CsvTable> {
  const time = findTime(columns, givenRate);
  const others = columns
    .filter((column) => column !== time)
    .map(({ name, unit, samples, digits }) => {
      return { name, unit, samples, step: printedStep(digits.significant, samples) };
    });
  const line = lines[0] ?? 1;
  if (!time) {
    if (givenRate !== undefined) return decoded({ rate: givenRate, start: 0, columns: others });
    return faulty(
      'no-rate',
      'the CSV file has no time column: name one "time" in a header, or give the sampling rate (--rate "10 kS/s")',
    );
  }
  if (others.length === 0)
    return faulty('empty', 'the CSV file has a time column and no samples beside it', { line });
  const instants = { values: time.samples, places: time.digits.places, lines };
  const timing = evenRate(instants, time, time.place + 1);
  if (!timing.ok) return timing;
  const { rate, start } = timing.value;
  if (givenRate !== undefined && Math.abs(givenRate / rate - 1) > 1e-3)
    return faulty(
      'rate-conflict',
      `the time column says ${rate} Hz, the given rate is ${givenRate} Hz: leave one of them out`,
      { line, column: time.place + 1 },
    );
  return decoded({ rate, start, columns: others });
}

function findTime(columns: readonly Column[], givenRate: number | undefined): Column | undefined {
  const named = columns.find(({ name }) => /^(t|time|seconds?)$/i.test(name));
  if (named) return named;
  const headless = columns.every(({ name, place }) => name === `column ${place + 1}`);
  return headless && columns.length > 1 && givenRate === undefined ? columns[0] : undefined;
}
