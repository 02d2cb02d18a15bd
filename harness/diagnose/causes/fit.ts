/** By claim that was judged, and short name of a feature that does not pass: -1 to 1. */
type Claims = ReadonlyMap<string, ReadonlyMap<string, number>>;

/** A claim that fails here and was not tried there speaks neither for nor against; it lowers the fit by half of what it would against. */
const untried = 0.5;
/** A claim that would fail there and was not run here might have told them apart. */
const unrun = 0.02;

/**
 * How well what fails in a run is what fails with a fault, 0 to 1: of all that fails in either, the share that fails in both, each
 * weighed by how far it is out of tolerance, in one direction, and by how telling its claim is.
 */
export function fitOf(run: Claims, signature: Claims, telling: (claim: string) => number): number {
  let shared = 0;
  let all = 0;
  for (const [claim, found] of run) {
    const expected = signature.get(claim);
    // Most claims pass in both: they say nothing here.
    if (found.size === 0 && !expected?.size) continue;
    const { both, either, count } = compared(found, expected ?? new Map());
    // A claim with many conditions is not many claims.
    const weight = telling(claim) / Math.sqrt(Math.max(1, count));
    shared += weight * both;
    all += weight * either * (expected ? 1 : untried);
  }
  for (const [claim, expected] of signature) {
    if (run.has(claim) || expected.size === 0) continue;
    const { either, count } = compared(new Map(), expected);
    all += (unrun * telling(claim) * either) / Math.sqrt(count);
  }
  return all > 0 ? shared / all : 0;
}

function compared(
  found: ReadonlyMap<string, number>,
  expected: ReadonlyMap<string, number>,
): { readonly both: number; readonly either: number; readonly count: number } {
  let both = 0;
  let either = 0;
  const names = new Set([...found.keys(), ...expected.keys()]);
  for (const name of names) {
    const [a, b] = [found.get(name) ?? 0, expected.get(name) ?? 0];
    const agree = a * b > 0;
    both += agree ? Math.min(Math.abs(a), Math.abs(b)) : 0;
    either += agree ? Math.max(Math.abs(a), Math.abs(b)) : Math.abs(a) + Math.abs(b);
  }
  return { both, either, count: names.size };
}
