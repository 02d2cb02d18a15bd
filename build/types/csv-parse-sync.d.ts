/** What `harness/files` uses of csv-parse, whose own types drag in all of Node. */
export interface CsvError extends Error {
  readonly code: string;
}

export function parse(text: string, options: Readonly<Record<string, unknown>>): string[][];
