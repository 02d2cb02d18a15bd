import { valueAt } from './samples.ts';

/** Columns of a fit, orthogonal to each other and of length 1. */
export type Basis = readonly Float64Array[];

/** What a basis leaves of a column. */
export function remainder(column: Float64Array, basis: Basis): Float64Array {
  const rest = column.slice();
  // Twice: once loses digits where little is left (Gram-Schmidt with reorthogonalisation, textbook).
  for (let pass = 0; pass < 2; pass++) {
    for (const unit of basis) {
      const part = dot(rest, unit);
      for (let k = 0; k < rest.length; k++) rest[k] = valueAt(rest, k) - part * valueAt(unit, k);
    }
  }
  return rest;
}

/** The basis with further columns; those that it spans already are left out. */
export function extended(basis: Basis, columns: readonly Float64Array[]): Basis {
  const all = [...basis];
  for (const column of columns) {
    const rest = remainder(column, all);
    const size = Math.sqrt(dot(rest, rest));
    if (size > spanned * Math.sqrt(dot(column, column))) all.push(rest.map((x) => x / size));
  }
  return all;
}

/** A column of which less is left than this share adds nothing but rounding errors. */
const spanned = 1e-6;

export function dot(a: Float64Array, b: Float64Array): number {
  return a.reduce((sum, value, k) => sum + value * valueAt(b, k), 0);
}
