/** Something wrong in a file that a person wrote, and where. */
export interface Issue {
  /** As given on the command line. */
  readonly file: string;
  /** From 1. */
  readonly line: number;
  /** From 1, in UTF-16 units as editors count. */
  readonly column: number;
  /** Way through the file, e.g. `criteria[0].at-most`; empty for the file as a whole. */
  readonly path: string;
  /** What was expected, what was found, what to do. One sentence or two halves joined by a semicolon. */
  readonly message: string;
  /** The line of the file, without its end. */
  readonly excerpt: string;
  /** How many characters of the excerpt are meant, at least 1. */
  readonly length: number;
}

/** A key or an index on the way through a file. */
export type PathStep = string | number;

/** `criteria[0].at-most` */
export function pathText(path: readonly PathStep[]): string {
  return path
    .map((step, index) =>
      typeof step === 'number' ? `[${step}]` : `${index === 0 ? '' : '.'}${step.slice(0, 60)}`,
    )
    .join('');
}

/** In the order of the file; issues of one place keep their order. */
export function sortIssues(issues: readonly Issue[]): Issue[] {
  return [...issues].sort((a, b) => a.line - b.line || a.column - b.column);
}
