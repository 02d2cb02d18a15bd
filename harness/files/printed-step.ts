/** Steps below this part of the largest value are the print of a computer, no rounding of a record. */
const negligible = 1e-9;
/** So many different values, and this part of the places between the outermost, tell a converter's steps. */
const fewestValues = 5;
const filled = 0.5;

/**
 * Step of the numbers of a column of text, in the column's unit; 0 where it is too fine to matter.
 *
 * The last digit of the largest value rounds them, by the most significant digits that any field has (trailing zeros may
 * have been dropped). Where all values are multiples of a coarser step and use most of its places, they are codes of a
 * converter with that step.
 */
export function printedStep(texts: readonly string[], samples: Float64Array): number {
  let [largest, digits] = [0, 0];
  for (let k = 0; k < samples.length; k++) {
    const size = Math.abs(samples[k] ?? 0);
    if (size > largest) largest = size;
    if (size > 0) digits = Math.max(digits, significantDigits(texts[k] ?? ''));
  }
  if (largest === 0) return 0;
  const exponent = Math.floor(Math.log10(largest)) + 1 - digits;
  const last = 10 ** exponent;
  // 10 to a whole negative power is exact as a quotient only.
  const perUnit = 10 ** -exponent;
  return last < negligible * largest ? 0 : codeStep(samples, perUnit) / perUnit;
}

function significantDigits(text: string): number {
  const [mantissa = ''] = text.toLowerCase().split('e');
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
