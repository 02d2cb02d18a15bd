/** A figure in a sentence, to four significant digits. */
export function figure(value: number): string {
  return String(Number(value.toPrecision(4)));
}
