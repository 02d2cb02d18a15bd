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

/** A time column: its values, how finely they are printed, and where. */
export interface Instants {
  /** In the unit of the column. */
  readonly values: Float64Array;
  /** Most digits behind the decimal point of any of them. */
  readonly places: number;
  /** Of each value, from 1. */
  readonly lines: Uint32Array;
}

/**
 * Sampling rate and first instant of a time column.
 *
 * Inputs: instants in the unit of the title (s where it says none), and the place of the column from 1.
 * Output: rate in Hz, start in s. Refused: fewer than 2 rows; a unit that is no time; instants that do not rise; steps
 * that differ by more than 1 % of a step and more than the printed digits explain; digits too coarse to tell.
 */
export function evenRate(
  instants: Instants,
  { unit }: ColumnTitle,
  column: number,
): Decoded<{ readonly rate: number; readonly start: number }> {
  const scale = secondsPer[unit ?? 's'];
  if (scale === undefined)
    return faulty('header', `the time column is in "${unit}": expected s, ms, us or ns`, {
      column,
    });
  const { values, lines } = instants;
  const first = values[0] ?? Number.NaN;
  const last = values.at(-1) ?? Number.NaN;
  if (values.length < 2)
    return faulty(
      'no-rate',
      'one row gives no sampling rate: record at least 2 samples, or give the rate and leave the time out',
      { ...(lines[0] !== undefined && { line: lines[0] }), column },
    );
  const step = (last - first) / (values.length - 1);
  if (!(step > 0))
    return faulty(
      'uneven-time',
      `the time column does not rise: ${first} to ${last} in ${values.length} rows; if the first column is no time, give the sampling rate; if the numbers have decimal commas, write decimal points`,
      { line: lines.at(-1) ?? 1, column },
    );
  const gap = findGap(instants, step);
  if (gap)
    return faulty(
      'uneven-time',
      `the time steps are not equal: ${show(gap.own * scale)} s here, ${show(gap.usual * scale)} s elsewhere; resample the record evenly, or print the time with more digits`,
      { line: gap.line, column },
    );
  // Nine digits are more than any clock has; beyond them lies only the rounding of the quotient.
  const rate = Number((1 / (step * scale)).toPrecision(9));
  return decoded({ rate, start: first * scale });
}

/** The first step that does not fit an even grid of steps, in the unit of the column. */
function findGap(
  { values, places, lines }: Instants,
  step: number,
): { readonly own: number; readonly usual: number; readonly line: number } | null {
  const steps = stepsOf(values);
  const usual = median(steps);
  // Print rounds each end of a step by half a digit, and the ends of the record too.
  const rounding = 1.1 * 10 ** -places;
  for (const [index, own] of steps.entries()) {
    const offGrid = Math.abs((values[index + 1] ?? 0) - (values[0] ?? 0) - (index + 1) * step);
    const even = offGrid <= Math.max(unevenness * step, rounding);
    // A lost sample makes a step half as long again or more, however coarse the print.
    if (!(own > 0 && Math.abs(own - usual) < 0.5 * usual && even))
      return { own, usual, line: lines[index + 1] ?? 1 };
  }
  return null;
}

function stepsOf(values: Float64Array): Float64Array {
  const steps = new Float64Array(values.length - 1);
  for (let k = 0; k < steps.length; k++) steps[k] = (values[k + 1] ?? 0) - (values[k] ?? 0);
  return steps;
}

function median(values: Float64Array): number {
  return values.toSorted()[Math.floor(values.length / 2)] ?? Number.NaN;
}

function show(value: number): string {
  return String(Number(value.toPrecision(4)));
}
