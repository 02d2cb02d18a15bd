import type { ColumnTitle } from './csv-field.ts';
import { type Decoded, decoded, faulty } from './file-fault.ts';

/** Seconds per unit of a time column. */
const secondsPer: Readonly<Record<string, number>> = {
  s: 1,
  sec: 1,
  ms: 1e-3,
  us: 1e-6,
  µs: 1e-6,
  μs: 1e-6,
  ns: 1e-9,
};

/** How far an instant may lie from its place in an even grid, in sampling intervals. */
const unevenness = 0.01;

/** One row of a time column: its value, and how and where it is printed. */
export interface Instant {
  readonly value: number;
  readonly text: string;
  readonly line: number;
}

/**
 * Sampling rate and first instant of a time column.
 *
 * Inputs: instants in the unit of the title (s where it says none), and the place of the column from 1.
 * Output: rate in Hz, start in s. Refused: fewer than 2 rows; a unit that is no time; instants that do not rise; steps
 * that differ by more than 1 % of a step and more than the printed digits explain; digits too coarse to tell.
 */
export function evenRate(
  instants: readonly Instant[],
  { unit }: ColumnTitle,
  column: number,
): Decoded<{ readonly rate: number; readonly start: number }> {
  const scale = secondsPer[unit ?? 's'];
  if (scale === undefined)
    return faulty('header', `the time column is in "${unit}": expected s, ms, us or ns`, {
      column,
    });
  const [first, ...rest] = instants;
  const last = rest.at(-1);
  if (!first || !last)
    return faulty(
      'no-rate',
      'one row gives no sampling rate: record at least 2 samples, or give the rate and leave the time out',
      { ...(first && { line: first.line }), column },
    );
  const step = (last.value - first.value) / rest.length;
  if (!(step > 0))
    return faulty(
      'uneven-time',
      `the time column does not rise: ${first.value} to ${last.value} in ${instants.length} rows; if the first column is no time, give the sampling rate; if the numbers have decimal commas, write decimal points`,
      { line: last.line, column },
    );
  const gap = findGap(first, rest, step);
  if (gap)
    return faulty(
      'uneven-time',
      `the time steps are not equal: ${show(gap.own * scale)} s here, ${show(gap.usual * scale)} s elsewhere; resample the record evenly, or print the time with more digits`,
      { line: gap.line, column },
    );
  // Nine digits are more than any clock has; beyond them lies only the rounding of the quotient.
  const rate = Number((1 / (step * scale)).toPrecision(9));
  return decoded({ rate, start: first.value * scale });
}

/** The first step that does not fit an even grid of steps, in the unit of the column. */
function findGap(
  first: Instant,
  rest: readonly Instant[],
  step: number,
): { readonly own: number; readonly usual: number; readonly line: number } | null {
  const usual = median(stepsOf(first, rest));
  // Print rounds each end of a step by half a digit, and the ends of the record too.
  const rounding = 1.1 * lastDigit([first, ...rest]);
  let before = first.value;
  for (const [index, { value, line }] of rest.entries()) {
    const own = value - before;
    const offGrid = Math.abs(value - first.value - (index + 1) * step);
    const even = offGrid <= Math.max(unevenness * step, rounding);
    // A lost sample makes a step half as long again or more, however coarse the print.
    if (!(own > 0 && Math.abs(own - usual) < 0.5 * usual && even)) return { own, usual, line };
    before = value;
  }
  return null;
}

/** Worth of the last printed digit. Trailing zeros are often dropped: the row with most digits shows it. */
function lastDigit(instants: readonly Instant[]): number {
  let places = 0;
  for (const { text } of instants) places = Math.max(places, decimalPlaces(text));
  return 10 ** -places;
}

function decimalPlaces(text: string): number {
  const [mantissa = '', exponent = '0'] = text.toLowerCase().split('e');
  return (mantissa.split('.')[1] ?? '').length - Number(exponent);
}

function stepsOf(first: Instant, rest: readonly Instant[]): Float64Array {
  let before = first.value;
  return Float64Array.from(rest, ({ value }) => {
    const step = value - before;
    before = value;
    return step;
  });
}

function median(values: Float64Array): number {
  return values.toSorted()[Math.floor(values.length / 2)] ?? Number.NaN;
}

function show(value: number): string {
  return String(Number(value.toPrecision(4)));
}
