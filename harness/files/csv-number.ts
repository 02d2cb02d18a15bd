export type CsvField =
  | { readonly kind: 'number'; readonly value: number }
  | { readonly kind: 'decimal-comma' | 'not-finite' | 'blank' | 'text' };

const plain = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const comma = /^[+-]?\d*,\d+(?:[eE][+-]?\d+)?$/;
const notFinite = /^[+-]?(?:nan|inf|infinity|1\.#.*|∞)$/i;

/** One field of a table: a finite number with a decimal point, or what it is instead. */
export function readNumber(field: string): CsvField {
  if (plain.test(field)) {
    const value = Number(field);
    return Number.isFinite(value) ? { kind: 'number', value } : { kind: 'not-finite' };
  }
  if (field === '') return { kind: 'blank' };
  if (comma.test(field)) return { kind: 'decimal-comma' };
  return { kind: notFinite.test(field) ? 'not-finite' : 'text' };
}
