/**
 * value * 10^places, by moving the decimal point of the shortest decimal that stands for `value`: 0.02 s is then
 * exactly 20 ms, where a multiplication would leave 20.000000000000004 for some figures.
 */
export function shiftDecimal(value: number, places: number): number {
  if (places === 0 || !Number.isFinite(value)) return value;
  const [mantissa, exponent = '0'] = String(value).split('e');
  return Number(`${mantissa}e${Number(exponent) + places}`);
}
