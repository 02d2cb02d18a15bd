/** The five endings. `error` is the bench's, never the lamp's. */
export type Verdict = 'pass' | 'fail' | 'inconclusive' | 'error' | 'not run';

/** Worst first: the order of the roll-up. */
export const severity: readonly Verdict[] = ['error', 'fail', 'inconclusive', 'not run', 'pass'];

/** The verdict of a whole from those of its parts; a whole without parts was not run. */
export function rollUp(parts: Iterable<Verdict>): Verdict {
  let worst = severity.length;
  for (const part of parts) worst = Math.min(worst, severity.indexOf(part));
  return severity[worst] ?? 'not run';
}
