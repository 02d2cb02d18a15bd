import { group } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { commonLaw, type Law } from './law.ts';
import { bestScope, liesWithin, type Scoped } from './scope.ts';

/** Failing findings of one metric, and what the figures say of them. */
export interface Part {
  readonly scope: Scoped | null;
  readonly law: Law | null;
  readonly failing: readonly Diagnosed[];
  readonly passing: number;
  /** Where the law holds in the claims that fail, and not in others of the metric: these. */
  readonly claims?: readonly string[];
}

/** What each metric that fails has to say. */
export function partsOfAll(findings: readonly Diagnosed[]): Part[] {
  const byMetric = group(findings, ({ finding }) => finding.metric);
  return [...byMetric.values()].filter((own) => own.some(({ failed }) => failed)).flatMap(partsOf);
}

/** A law of figures and not only of a place. */
function isQuantity({ kind }: Law): boolean {
  return kind === 'factor' || kind === 'offset' || kind === 'transfer' || kind === 'frequency';
}

/** What one metric has to say; failures beyond a scope are a part of their own. */
function partsOf(findings: readonly Diagnosed[]): Part[] {
  const overall = commonLaw(findings);
  if (overall && isQuantity(overall)) return [whole(findings, overall)];
  const scoped = bestScope(findings);
  if (!scoped) return [ofClaims(findings) ?? whole(findings, overall)];
  const within = findings.filter((one) => liesWithin(scoped.scope, one));
  const inside: Part = {
    scope: scoped,
    law: commonLaw(within),
    failing: within.filter(({ failed }) => failed),
    passing: scoped.passingOutside,
  };
  const outside = findings.filter((one) => !within.includes(one));
  const left = outside.some(({ failed }) => failed);
  return left ? [inside, whole(outside, null)] : [inside];
}

/** A law of the claims that fail, where others of the metric have other causes to pass; null where they have none. */
function ofClaims(findings: readonly Diagnosed[]): Part | null {
  const claims = [...new Set(findings.filter(({ failed }) => failed).map(({ spec }) => spec))];
  // One claim may meet a law by the very values that it tries.
  if (claims.length < 2) return null;
  const within = findings.filter(({ spec }) => claims.includes(spec));
  const law = commonLaw(within);
  return law && isQuantity(law) ? { ...whole(within, law), claims } : null;
}

function whole(findings: readonly Diagnosed[], law: Law | null): Part {
  const failing = findings.filter(({ failed }) => failed);
  return { scope: null, law, failing, passing: findings.length - failing.length };
}

/** Parts with one key are one cause: the same place, the same frequency, or the same claims. */
export function mergeKey({ scope, law, failing }: Part): string {
  if (law?.kind === 'frequency') return `frequency ${law.frequency.toPrecision(2)}`;
  if (law && isQuantity(law))
    return `${law.kind} ${failing[0]?.finding.metric ?? ''} ${scopeKey(scope)}`;
  if (scope) return scopeKey(scope);
  if (law) return law.kind;
  return [...new Set(failing.map(({ spec }) => spec))].sort().join(' ');
}

function scopeKey(scoped: Scoped | null): string {
  return scoped ? [scoped.scope.facet, ...scoped.scope.values].join('\t') : '';
}
