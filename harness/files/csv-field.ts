export type CsvField =
  | { readonly kind: 'number'; readonly value: number }
  | { readonly kind: 'decimal-comma' | 'not-finite' | 'blank' | 'text' };

const plain = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const comma = /^[+-]?\d*,\d+(?:[eE][+-]?\d+)?$/;
const notFinite = /^[+-]?(?:nan|inf|infinity|1\.#.*|∞)$/i;

/** One field of a table: a finite number with a decimal point, or what it is instead. */
export function readCsvNumber(field: string): CsvField {
  if (plain.test(field)) {
    const value = Number(field);
    return Number.isFinite(value) ? { kind: 'number', value } : { kind: 'not-finite' };
  }
  if (field === '') return { kind: 'blank' };
  if (comma.test(field)) return { kind: 'decimal-comma' };
  return { kind: notFinite.test(field) ? 'not-finite' : 'text' };
}

/** What a header says of its column. */
export interface ColumnTitle {
  readonly name: string;
  readonly unit: string | null;
}

const bracketed = /^(.*?)\s*(?:\(([^()]*)\)|\[([^[\]]*)\])$/;
const suffixed = /^(.+)_(s|ms|us|µs|ns|lx|klx|V|mV|A|mA|uA|µA)$/;

/** Name and unit of `warm (lx)`, `warm [lx]`, `warm_lx` or `warm`; an empty header is called by its place. */
export function columnTitle(header: string, place: number): ColumnTitle {
  const text = header.trim();
  const brackets = bracketed.exec(text);
  const suffix = suffixed.exec(text);
  const name = (brackets?.[1] ?? suffix?.[1] ?? text).trim();
  const unit = (brackets?.[2] ?? brackets?.[3] ?? suffix?.[2] ?? '').trim();
  return { name: name === '' ? `column ${place}` : name, unit: unit === '' ? null : unit };
}
