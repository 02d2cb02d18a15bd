/** The five endings. `error` is the bench's, never the lamp's. */
export type Ending = 'pass' | 'fail' | 'inconclusive' | 'error' | 'not run';

/** An ending, or the word for a claim that this lamp cannot have: nothing of it could be run, and nothing is missing. */
export type Verdict = Ending | 'not applicable';

/** Worst first. */
export const endings: readonly Ending[] = ['error', 'fail', 'inconclusive', 'not run', 'pass'];

/** Worst first: the order of the roll-up. */
export const severity: readonly Verdict[] = [...endings, 'not applicable'];

/** The verdict of a whole from those of its parts; a whole without parts was not run. */
export function rollUp<Part extends Verdict>(parts: Iterable<Part>): Part | 'not run' {
  let worst: Part | 'not run' | undefined;
  for (const part of parts)
    if (worst === undefined || severity.indexOf(part) < severity.indexOf(worst)) worst = part;
  return worst ?? 'not run';
}

/** Neither proved nor beside the point: somebody has to look at it, or waive it. */
export function standsOpen({ verdict }: { readonly verdict: Verdict }): boolean {
  return verdict !== 'pass' && verdict !== 'not applicable';
}

/** A claim that does not apply to the lamp says nothing about the run; where none does, nothing was proved, and the run is `not run`. */
export function verdictOfRun(claims: readonly { readonly verdict: Verdict }[]): Ending {
  return rollUp(claims.flatMap(({ verdict }) => (verdict === 'not applicable' ? [] : [verdict])));
}
