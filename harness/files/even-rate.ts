import type { ColumnTitle } from './column-title.ts';
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

interface Printed {
  readonly text: string;
  readonly line: number;
}

/**
 * Sampling rate and first instant of a time column.
 *
 * Inputs: instants in the unit of the title (s where it says none), and how and where they were printed.
 * Output: rate in Hz, start in s. Refused: fewer than 2 rows; a unit that is no time; instants that do not rise; steps
 * that differ by more than 1 % of a step and more than the printed digits explain; digits too coarse to tell.
 */
export function evenRate(
  instants: Float64Array,
  { unit }: ColumnTitle,
  printed: readonly Printed[],
  column: number,
): Decoded<{ readonly rate: number; readonly start: number }> {
  const scale = secondsPer[unit ?? 's'];
  if (scale === undefined)
    return faulty('header', `the time column is in "${unit}": expected s, ms, us or ns`, {
      column,
    });
  const count = instants.length;
  if (count < 2)
    return faulty(
      'no-rate',
      'one row tells no sampling rate: record at least 2 samples, or give the rate and leave the time out',
      { line: printed[0]!.line, column },
    );
  const first = instants[0]!;
  const step = (instants[count - 1]! - first) / (count - 1);
  if (!(step > 0))
    return faulty(
      'uneven-time',
      `the time column does not rise: ${first} to ${instants[count - 1]} in ${count} rows; if the first column is no time, give the sampling rate; if the numbers have decimal commas, write decimal points`,
      { line: printed[count - 1]!.line, column },
    );
  const usual = median(instants);
  // Print rounds each end of a step by half a digit, and the ends of the record too.
  const rounding = 1.1 * lastDigit(printed);
  for (let k = 1; k < count; k++) {
    const own = instants[k]! - instants[k - 1]!;
    const offGrid = Math.abs(instants[k]! - first - k * step);
    const even = offGrid <= Math.max(unevenness * step, rounding);
    // A lost sample makes a step half as long again or more, however coarse the print.
    if (own > 0 && Math.abs(own - usual) < 0.5 * usual && even) continue;
    return faulty(
      'uneven-time',
      `the time steps are not equal: ${show(own * scale)} s here, ${show(usual * scale)} s elsewhere; resample the record evenly, or print the time with more digits`,
      { line: printed[k]!.line, column },
    );
  }
  // Nine digits are more than any clock has; beyond them lies only the rounding of the quotient.
  const rate = Number((1 / (step * scale)).toPrecision(9));
  return decoded({ rate, start: first * scale });
}

/** Worth of the last printed digit. Trailing zeros are often dropped: the row with most digits shows it. */
function lastDigit(printed: readonly Printed[]): number {
  let places = 0;
  for (const { text } of printed) places = Math.max(places, decimalPlaces(text));
  return 10 ** -places;
}

function decimalPlaces(text: string): number {
  const [mantissa = '', exponent = '0'] = text.toLowerCase().split('e');
  return (mantissa.split('.')[1] ?? '').length - Number(exponent);
}

function median(instants: Float64Array): number {
  const steps = instants.slice(1).map((instant, k) => instant - instants[k]!);
  return steps.sort()[Math.floor(steps.length / 2)]!;
}

function show(value: number): string {
  return String(Number(value.toPrecision(4)));
}
