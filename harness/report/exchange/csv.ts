/** Rows as CSV: comma, CRLF, quotes where needed, no byte order mark (RFC 4180, from memory). Missing values are empty. */
export function csvText(rows: readonly (readonly (string | number | boolean | null)[])[]): string {
  return rows.map((row) => `${row.map(field).join(',')}\r\n`).join('');
}

function field(value: string | number | boolean | null): string {
  if (value === null) return '';
  if (typeof value !== 'string') return String(value);
  // A spreadsheet would run a text that begins like a formula.
  const text = /^[=+\-@\t\r]/.test(value) ? `'${value}` : value;
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
