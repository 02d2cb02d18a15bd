import type { RunRecord } from '../../record/run-record.ts';
import { featuresOf } from './features.ts';
import { fitOf } from './fit.ts';
import { type Signature, shortName } from './signature.ts';

/** A seeded fault of the simulated lamp whose failures are like those of a run. */
export interface LikelyCause {
  readonly fault: string;
  readonly title: string;
  readonly about: string;
  /** Titles of faults that no claim tells from this one. */
  readonly alike: readonly string[];
  /** 0 to 1. */
  readonly fit: number;
  /** Failing findings of the run whose claims fail with this fault as well. */
  readonly explains: number;
}

type RankedCause = Omit<LikelyCause, 'explains'>;

/**
 * A wrong name costs an engineer more than none. With its own signature taken away, one fault in eight still fits another so well (one in
 * four by 0.5) [measured over the seeded faults].
 */
export const leastFit = 0.7;
const mostCauses = 3;

/** Causes that would explain the failures of a run, the best first; none where none fits, or nothing failed. */
export function likelyCauses(
  record: Pick<RunRecord, 'specs' | 'lamp'>,
  signatures: readonly Signature[],
): readonly LikelyCause[] {
  return rankedCauses(shortened(featuresOf(record)), signatures)
    .filter(({ fit }) => fit >= leastFit)
    .slice(0, mostCauses)
    .map((cause) => {
      const own = signatures.find(({ fault }) => fault === cause.fault)?.claims;
      return { ...cause, explains: failuresWithin(record, own ?? new Map()) };
    });
}

/** Failing findings of claims that a fault breaks. */
function failuresWithin({ specs }: Pick<RunRecord, 'specs'>, broken: Signature['claims']): number {
  const own = specs.filter(({ spec }) => (broken.get(spec)?.size ?? 0) > 0);
  const verdicts = own.flatMap(({ conditions }) =>
    conditions.flatMap(({ findings }) => findings.map(({ verdict }) => verdict)),
  );
  return verdicts.filter((verdict) => verdict === 'fail').length;
}

/** Every cause that fits at all, the best first; of those that are alike, the first one alone. */
export function rankedCauses(
  run: Signature['claims'],
  signatures: readonly Signature[],
): readonly RankedCause[] {
  const telling = tellingOf(signatures);
  const titles = new Map(signatures.map(({ fault, title }) => [fault, title]));
  const ranked = signatures
    .map(({ claims, ...signature }) => ({ ...signature, fit: fitOf(run, claims, telling) }))
    .filter(({ fit }) => fit > 0)
    .sort((a, b) => b.fit - a.fit);
  const named = new Set<string>();
  return ranked.flatMap((cause) => {
    if (named.has(cause.fault)) return [];
    for (const fault of cause.alike) named.add(fault);
    return [{ ...cause, alike: cause.alike.map((fault) => titles.get(fault) ?? fault) }];
  });
}

/** A claim that few faults break tells more than one that many break. */
function tellingOf(signatures: readonly Signature[]): (claim: string) => number {
  const broken = new Map<string, number>();
  for (const { claims } of signatures)
    for (const [claim, features] of claims)
      if (features.size > 0) broken.set(claim, (broken.get(claim) ?? 0) + 1);
  return (claim) => Math.log(1 + signatures.length / (1 + (broken.get(claim) ?? 0)));
}

function shortened(
  features: ReadonlyMap<string, ReadonlyMap<string, number>>,
): Signature['claims'] {
  const short = [...features].map(([claim, own]): [string, ReadonlyMap<string, number>] => [
    claim,
    new Map([...own].map(([name, strength]) => [shortName(name), strength])),
  ]);
  return new Map(short);
}
