import type { Verdict } from '../verdict/verdict.ts';
import { type FindingLine, findingKey } from './finding-line.ts';
import { marginOf, toleranceSize } from './margin.ts';

/** What became of a finding from run A to run B. */
export type Change =
  | 'newly failing'
  | 'fixed'
  | 'newly in error'
  | 'newly inconclusive'
  | 'newly not run'
  | 'newly run'
  | 'no longer applicable'
  | 'newly applicable'
  | 'appeared'
  | 'vanished'
  | 'moved beyond uncertainty'
  | 'moved within uncertainty'
  | 'unchanged';

/** What a reader must see first comes first. */
export const changes: readonly Change[] = [
  'newly failing',
  'newly in error',
  'newly inconclusive',
  'newly not run',
  'no longer applicable',
  'vanished',
  'fixed',
  'newly run',
  'newly applicable',
  'appeared',
  'moved beyond uncertainty',
  'moved within uncertainty',
  'unchanged',
];

/** A finding of one run, and what answers to it in the other. */
type Sides =
  | { readonly a: FindingLine; readonly b: FindingLine }
  | { readonly a: FindingLine; readonly b: null }
  | { readonly a: null; readonly b: FindingLine };

export type ComparedFinding = Sides & {
  readonly change: Change;
  /** How far the value moved against the uncertainty of the difference; apart from the change of verdict. */
  readonly movement: 'none' | 'within' | 'beyond' | 'not known';
  /** B - A in the SI unit, and the expanded uncertainty of that difference. */
  readonly difference: number | null;
  readonly differenceExpanded: number | null;
  /**
   * The size of the movement as a share of the tolerance (see `toleranceSize`), B's where both have one; null where a value or a
   * tolerance with a width is missing.
   */
  readonly share: number | null;
  /** Whether B has less of its tolerance left than A had; null where a value or a limit is missing. */
  readonly course: 'worse' | 'better' | 'level' | null;
  /** The limits themselves are not the same in both runs. */
  readonly limitsChanged: boolean;
};

/** The finding as B has it, or as A does where B lacks it. */
export function latestLine(sides: Sides): FindingLine {
  return sides.b === null ? sides.a : sides.b;
}

/**
 * Findings by how far they moved as a share of the tolerance, the largest first, and at one share what got worse before the rest. What
 * has values but no share (a count that must be exact moved) goes before them, what cannot be held against the other run after.
 */
export function largestFirst(compared: readonly ComparedFinding[]): ComparedFinding[] {
  return [...compared].sort((a, b) => rankOf(b) - rankOf(a) || turnOf(a) - turnOf(b));
}

function rankOf({ share, difference }: ComparedFinding): number {
  if (share !== null) return share;
  if (difference === null) return -1;
  return difference === 0 ? 0 : Number.MAX_VALUE;
}

function turnOf({ course }: ComparedFinding): number {
  return course === 'worse' ? 0 : 1;
}

/** What of a run is compared. */
export interface RunLines {
  readonly claims: readonly { readonly spec: string; readonly verdict: Verdict }[];
  readonly findings: readonly FindingLine[];
}

/** Finding by finding, in B's order, what only A has at the end. */
export function compareRuns(a: RunLines, b: RunLines): ComparedFinding[] {
  const before = new Map(a.findings.map((line) => [findingKey(line), line]));
  const claimsOfA = new Map(a.claims.map(({ spec, verdict }) => [spec, verdict]));
  const claimsOfB = new Map(b.claims.map(({ spec, verdict }) => [spec, verdict]));
  const compared = b.findings.map((line) => {
    const key = findingKey(line);
    const old = before.get(key) ?? null;
    before.delete(key);
    return old
      ? both(old, line)
      : only({ a: null, b: line }, absent(claimsOfA.get(line.spec), 'a'));
  });
  const gone = [...before.values()].map((line) =>
    only({ a: line, b: null }, absent(claimsOfB.get(line.spec), 'b')),
  );
  return [...compared, ...gone];
}

/** A finding that one run lacks: its claim was not run there (or not chosen), or only the finding does not exist there. */
function absent(claim: Verdict | undefined, lacking: 'a' | 'b'): Change {
  if (claim === 'not applicable')
    return lacking === 'a' ? 'newly applicable' : 'no longer applicable';
  const wasRun = claim !== undefined && claim !== 'not run';
  if (lacking === 'a') return wasRun ? 'appeared' : 'newly run';
  if (!wasRun) return 'newly not run';
  return claim === 'error' ? 'newly in error' : 'vanished';
}

function only(sides: Sides, absence: Change): ComparedFinding {
  // A failure that nobody has seen before is new, wherever it comes from.
  const change = sides.b?.verdict === 'fail' ? 'newly failing' : absence;
  return {
    change,
    movement: 'not known',
    difference: null,
    differenceExpanded: null,
    share: null,
    course: null,
    limitsChanged: false,
    ...sides,
  };
}

function both(a: FindingLine, b: FindingLine): ComparedFinding {
  const difference = a.value === null || b.value === null ? null : b.value - a.value;
  const differenceExpanded = expandedOfDifference(a.expanded, b.expanded);
  const movement = movementOf(difference, differenceExpanded);
  return {
    change: changeOf(a, b, movement),
    movement,
    difference,
    differenceExpanded,
    share: shareOf(difference, b, a),
    course: courseOf(a, b),
    limitsChanged: a.lower !== b.lower || a.upper !== b.upper,
    a,
    b,
  };
}

function shareOf(difference: number | null, b: FindingLine, a: FindingLine): number | null {
  const size = toleranceSize(b) ?? toleranceSize(a);
  return difference === null || size === null ? null : Math.abs(difference) / size;
}

function courseOf(a: FindingLine, b: FindingLine): ComparedFinding['course'] {
  const [before, after] = [marginOf(a), marginOf(b)];
  if (!Number.isFinite(before) || !Number.isFinite(after)) return null;
  // Rounding is no movement.
  if (Math.abs(after - before) <= 1e-9 * Math.max(1, Math.abs(before))) return 'level';
  return after < before ? 'worse' : 'better';
}

/**
 * Root sum of squares of both expanded uncertainties (one coverage factor). The two runs' errors are taken as
 * independent; on one bench they share the calibration, so the true uncertainty of the difference is smaller and
 * `within` is said too often rather than too seldom. Source: JCGM 100:2008, 5.1.2 (from memory); the quotient of
 * difference and this root is the E_n number of ISO 13528 (from memory).
 */
function expandedOfDifference(a: number | null, b: number | null): number | null {
  return a === null || b === null ? null : Math.hypot(a, b);
}

function movementOf(
  difference: number | null,
  expanded: number | null,
): ComparedFinding['movement'] {
  if (difference === 0) return 'none';
  if (difference === null || expanded === null) return 'not known';
  return Math.abs(difference) <= expanded ? 'within' : 'beyond';
}

const turned: Partial<Record<Verdict, Change>> = {
  fail: 'newly failing',
  error: 'newly in error',
  inconclusive: 'newly inconclusive',
  'not run': 'newly not run',
};

function changeOf(a: FindingLine, b: FindingLine, movement: ComparedFinding['movement']): Change {
  if (a.verdict !== b.verdict) {
    const worse = turned[b.verdict];
    if (worse) return worse;
    return a.verdict === 'fail' || a.verdict === 'inconclusive' ? 'fixed' : 'newly run';
  }
  if (a.value === b.value) return 'unchanged';
  // Without an uncertainty nobody can say that a movement means nothing.
  return movement === 'within' ? 'moved within uncertainty' : 'moved beyond uncertainty';
}
