import { rollUp, type Verdict } from '../verdict/verdict.ts';
import { asProved } from './bench-after.ts';
import type { RunRecord, SpecRecord } from './run-record.ts';

export interface Requirement {
  readonly id: string;
  /** Empty where only its id is known. */
  readonly text: string;
}

interface TracedRun {
  readonly id: string;
  /** ISO 8601 */
  readonly started: string;
}

/** What the run that counts said of a claim. */
interface ClaimResult {
  readonly spec: SpecRecord;
  readonly run: TracedRun;
  /** A newer run of the build did not run this claim. */
  readonly isOlder: boolean;
  /** The spec file is not the one that was run. */
  readonly isChanged: boolean;
}

/** A run of a claim on a build that is not asked about. */
export interface RunElsewhere extends TracedRun {
  readonly build: string;
  readonly verdict: Verdict;
}

export interface TracedClaim {
  readonly spec: string;
  readonly claim: string;
  readonly file: string;
  /** Ids of requirements. */
  readonly traces: readonly string[];
  /** Null where no run that counts has the claim. */
  readonly result: ClaimResult | null;
  /** The newest run of another build, where `result` is null and there is one. */
  readonly elsewhere: RunElsewhere | null;
}

/** One requirement and what covers it. */
export interface TracedRequirement extends Requirement {
  readonly claims: readonly TracedClaim[];
  /** Of all its claims, one that never ran being `not run`; null where none ran, or no claim covers it. */
  readonly verdict: Verdict | null;
}

/** Requirements, the claims that cover them, and what is missing between them. */
export interface Traced {
  readonly requirements: readonly TracedRequirement[];
  /** Requirements that no claim covers. */
  readonly uncovered: readonly TracedRequirement[];
  /** Claims that name no requirement. */
  readonly unclaimed: readonly TracedClaim[];
  /** Claims that no run that counts has, or has only as `not run`. */
  readonly neverRan: readonly TracedClaim[];
  /** Ids that a claim names and the list does not. */
  readonly unknown: readonly { readonly spec: string; readonly id: string }[];
}

export function traceRequirements(
  requirements: readonly Requirement[],
  claims: readonly TracedClaim[],
): Traced {
  const traced = requirements.map((requirement): TracedRequirement => {
    const own = claims.filter(({ traces }) => traces.includes(requirement.id));
    return { ...requirement, claims: own, verdict: verdictOf(own) };
  });
  const known = new Set(requirements.map(({ id }) => id));
  return {
    requirements: traced,
    uncovered: traced.filter((requirement) => requirement.claims.length === 0),
    unclaimed: claims.filter(({ traces }) => traces.length === 0),
    neverRan: claims.filter(({ result }) => (result?.spec.verdict ?? 'not run') === 'not run'),
    unknown: claims.flatMap(({ spec, traces }) =>
      traces.filter((id) => !known.has(id)).map((id) => ({ spec, id })),
    ),
  };
}

function verdictOf(claims: readonly TracedClaim[]): Verdict | null {
  if (claims.every(({ result }) => result === null)) return null;
  return rollUp(claims.map(({ result }): Verdict => result?.spec.verdict ?? 'not run'));
}

/** The same of one run, which knows its claims and the ids that they name, and no list of requirements. */
export function traceOfRun(record: RunRecord): Traced {
  const { id, startedAt, specs } = record;
  const run = { id, started: startedAt };
  const claims = specs.map((spec): TracedClaim => {
    const result = { spec: asProved(spec, record), run, isOlder: false, isChanged: false };
    const { claim, file, traces } = spec;
    return { spec: spec.spec, claim, file, traces, result, elsewhere: null };
  });
  const ids = [...new Set(specs.flatMap(({ traces }) => traces))];
  const inOrder = ids.sort((a, b) => a.localeCompare(b, 'en', { numeric: true }));
  return traceRequirements(
    inOrder.map((id) => ({ id, text: '' })),
    claims,
  );
}
