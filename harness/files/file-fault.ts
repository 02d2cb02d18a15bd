/** What can be wrong with a waveform file: a closed list. */
export type FileFaultCode =
  | 'empty' // no bytes, no rows or no samples
  | 'not-this-format' // the file is something else
  | 'truncated' // shorter than it says itself
  | 'too-large' // more than is read at once
  | 'surplus' // longer than it says itself
  | 'unsupported' // a variant that is not read
  | 'not-a-number'
  | 'overload' // an instrument's mark in place of a reading
  | 'decimal-comma'
  | 'ragged' // a row with more or fewer fields than the first
  | 'header' // names that do not name columns
  | 'no-rate' // neither a time column nor a given rate
  | 'uneven-time' // time steps that are not equal
  | 'rate-conflict' // a time column and a given rate that disagree
  | 'quoting'; // quotation marks that do not match

/** Failure as data: the sentence says what was expected, what was found and what to do. */
export interface FileFault {
  readonly code: FileFaultCode;
  readonly message: string;
  /** 1-based, in text files. */
  readonly line?: number;
  readonly column?: number;
}

export type Decoded<T> =
  | { readonly ok: true; readonly value: T }
  | { readonly ok: false; readonly fault: FileFault };

export function decoded<T>(value: T): Decoded<T> {
  return { ok: true, value };
}

export function faulty(
  code: FileFaultCode,
  message: string,
  position: { readonly line?: number; readonly column?: number } = {},
): { readonly ok: false; readonly fault: FileFault } {
  return { ok: false, fault: { code, message, ...position } };
}
