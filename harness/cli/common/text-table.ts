import { plainLine } from '../../files/plain-text.ts';

/** Rows in columns of equal width, two spaces apart; the last column is not padded. Hostile text is made harmless. */
export function textTable(
  rows: readonly (readonly string[])[],
  paint: (text: string, row: number, column: number) => string = (text) => text,
): string {
  const clean = rows.map((row) => row.map(plainLine));
  const widths = (clean[0] ?? []).map((_, column) =>
    Math.max(...clean.map((row) => [...(row[column] ?? '')].length)),
  );
  return clean
    .map((row, r) =>
      row
        .map((cell, c) => {
          const pad = c === row.length - 1 ? 0 : (widths[c] ?? 0) - [...cell].length;
          return paint(cell, r, c) + ' '.repeat(pad);
        })
        .join('  ')
        .trimEnd(),
    )
    .map((line) => `${line}\n`)
    .join('');
}
