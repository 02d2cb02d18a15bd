import { group } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { commonLaw, isNotStraight, type Law } from './law.ts';
import { bestScope, liesWithin, type Scoped } from './scope.ts';

/** Failing findings that have something in common, and what. */
export interface Explanation {
  /** Where they fail and nowhere else; null where no such place is known. */
  readonly scope: Scoped | null;
  readonly law: Law | null;
  /** Metrics that fail, the most frequent first, with the findings of each. */
  readonly metrics: readonly ExplainedMetric[];
  readonly findings: readonly Diagnosed[];
  /** Findings of the same metrics that pass. */
  readonly passing: number;
}

interface ExplainedMetric {
  readonly metric: string;
  readonly title: string;
  readonly failing: number;
}

interface Part {
  readonly scope: Scoped | null;
  readonly law: Law | null;
  readonly failing: readonly Diagnosed[];
  readonly passing: number;
}

/** What the figures of a run alone say of its failures, each failure in one explanation; the largest first. */
export function explain(findings: readonly Diagnosed[]): readonly Explanation[] {
  const byMetric = group(findings, ({ finding }) => finding.metric);
  const parts = [...byMetric.values()]
    .filter((own) => own.some(({ failed }) => failed))
    .flatMap(partsOf);
  // Steps about a curve that is kept are a cause of their own.
  const offCurve = parts.some(
    ({ failing, passing }) => passing === 0 && failing.every(isNotStraight),
  );
  const merged = group(parts, (part) => (offCurve && isOfCurve(part) ? 'curve' : mergeKey(part)));
  return [...merged.values()]
    .map(explanationOf)
    .sort((a, b) => b.findings.length - a.findings.length);
}

/** A fade that leaves its curve goes too fast somewhere, which is seen as a step. */
function isOfCurve({ law, failing }: Part): boolean {
  const areSteps = failing.every(({ finding }) => finding.metric === 'largest-visible-step');
  return law?.kind === 'curve' || areSteps;
}

/** What one metric has to say; failures beyond a scope are a part of their own. */
function partsOf(findings: readonly Diagnosed[]): Part[] {
  const overall = commonLaw(findings);
  if (overall?.kind === 'factor' || overall?.kind === 'offset') return [whole(findings, overall)];
  const scoped = bestScope(findings);
  if (!scoped) return [whole(findings, overall)];
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

function whole(findings: readonly Diagnosed[], law: Law | null): Part {
  const failing = findings.filter(({ failed }) => failed);
  return { scope: null, law, failing, passing: findings.length - failing.length };
}

/** Parts with one key are one cause: the same place, the same frequency, or the same claims. */
function mergeKey({ scope, law, failing }: Part): string {
  if (law?.kind === 'factor' || law?.kind === 'offset')
    return `${law.kind} ${failing[0]?.finding.metric ?? ''} ${scopeKey(scope)}`;
  if (scope) return scopeKey(scope);
  if (law?.kind === 'frequency') return `frequency ${law.frequency.toPrecision(2)}`;
  if (law) return law.kind;
  return [...new Set(failing.map(({ spec }) => spec))].sort().join(' ');
}

function scopeKey(scoped: Scoped | null): string {
  return scoped ? [scoped.scope.facet, ...scoped.scope.values].join('\t') : '';
}

function explanationOf(parts: readonly Part[]): Explanation {
  const findings = parts.flatMap(({ failing }) => failing);
  const byMetric = group(findings, ({ finding }) => finding.metric);
  const metrics = [...byMetric].map(([metric, own]) => ({
    metric,
    title: own[0]?.finding.title ?? metric,
    failing: own.length,
  }));
  return {
    // A cause that is everywhere is nowhere alone.
    scope: parts.every(({ scope }) => scope)
      ? joined(parts.flatMap(({ scope }) => scope ?? []))
      : null,
    law: lawOf(parts),
    metrics: metrics.sort((a, b) => b.failing - a.failing),
    findings,
    passing: parts.reduce((sum, part) => sum + part.passing, 0),
  };
}

/** The one of the parts that says most. */
function lawOf(parts: readonly Part[]): Law | null {
  const laws = parts.flatMap(({ law }) => law ?? []);
  return laws.find((law) => law.kind === 'curve' && law.instead !== null) ?? laws[0] ?? null;
}

/** The evidence of several metrics for one place. */
function joined(scoped: readonly Scoped[]): Scoped | null {
  const [first] = scoped;
  if (!first) return null;
  const sum = (count: (one: Scoped) => number): number =>
    scoped.reduce((total, one) => total + count(one), 0);
  return {
    scope: first.scope,
    failing: sum(({ failing }) => failing),
    within: sum(({ within }) => within),
    passingOutside: sum(({ passingOutside }) => passingOutside),
    failingOutside: sum(({ failingOutside }) => failingOutside),
  };
}
