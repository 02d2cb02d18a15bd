/** Steps below this part of the largest value are the print of a computer, no rounding of a record. */
const negligible = 1e-9;
/** So many different values, and this part of the places between the outermost, tell a converter's steps. */
const fewestValues = 5;
const filled = 0.5;

/** The most digits that any number of a column is printed with: trailing zeros may have been dropped from others. */
export class PrintedDigits {
  /** Of the numbers that are not 0. */
  significant = 0;
  /** Behind the decimal point; below 0 where all numbers are round tens. */
  places = Number.NEGATIVE_INFINITY;

  take(text: string, value: number): void {
    const mark = text.search(/[eE]/);
    const mantissa = mark < 0 ? text : text.slice(0, mark);
    const point = mantissa.indexOf('.');
    const behind = point < 0 ? 0 : mantissa.length - point - 1;
    this.places = Math.max(this.places, behind - (mark < 0 ? 0 : Number(text.slice(mark + 1))));
    // No number has more significant digits than characters.
    const most = mantissa.length - (point < 0 ? 0 : 1);
    if (value !== 0 && most > this.significant)
      this.significant = Math.max(this.significant, significantDigits(mantissa));
  }
}

/**
 * Step of the numbers of a column of text, in the column's unit; 0 where it is too fine to matter.
 *
 * The last digit of the largest value rounds them, by the most significant digits that any field has. Where all values
 * are multiples of a coarser step and use most of its places, they are codes of a converter with that step.
 */
export function printedStep(digits: number, samples: Float64Array): number {
  let largest = 0;
  for (let k = 0; k < samples.length; k++) largest = Math.max(largest, Math.abs(samples[k] ?? 0));
  if (largest === 0) return 0;
  const exponent = Math.floor(Math.log10(largest)) + 1 - digits;
  const last = 10 ** exponent;
  // 10 to a whole negative power is exact as a quotient only.
  const perUnit = 10 ** -exponent;
  return last < negligible * largest ? 0 : codeStep(samples, perUnit) / perUnit;
}

function significantDigits(mantissa: string): number {
  return mantissa.replace(/[-+.]/g, '').replace(/^0+/, '').length;
}

/** Step of the codes in units of the last digit: 1 unless the values show a coarser one. */
function codeStep(samples: Float64Array, perUnit: number): number {
  const places = new Set<number>();
  for (let k = 0; k < samples.length; k++) places.add(Math.round((samples[k] ?? 0) * perUnit));
  const sorted = Float64Array.from(places).sort();
  const [lowest = 0] = sorted;
  let step = 0;
  for (const place of sorted) step = greatestDivisor(place - lowest, step);
  const span = ((sorted.at(-1) ?? 0) - lowest) / step;
  const told = sorted.length >= fewestValues && sorted.length >= filled * span;
  return told ? step : 1;
}

function greatestDivisor(one: number, other: number): number {
  let [large, small] = [one, other];
  while (small > 0) [large, small] = [small, large % small];
  return large;
}
