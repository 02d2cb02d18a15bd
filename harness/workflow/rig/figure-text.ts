/** A figure as people write it into a file: six digits, without exponent. */
export function figureText(value: number): string {
  const rounded = Number(value.toPrecision(6));
  const text = String(rounded);
  return text.includes('e') ? rounded.toFixed(12).replace(/0+$/, '') : text;
}
