import { group } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { mayFollow } from './follows.ts';
import { commonLaw, isNotStraight, type Law } from './law.ts';
import { bestScope, countedScope, liesWithin, type Scoped } from './scope.ts';

/** Failing findings that have something in common, and what. */
export interface Explanation {
  /** Where they fail and nowhere else; null where no such place is known. */
  readonly scope: Scoped | null;
  readonly law: Law | null;
  /** Metrics that fail, the most frequent first, with the findings of each. */
  readonly metrics: readonly ExplainedMetric[];
  /** Metrics of findings that the law may have made fail as well. */
  readonly follows: readonly ExplainedMetric[];
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
  const roots = group(
    partsOfAll(findings).filter(({ law }) => law && leads(law)),
    mergeKey,
  );
  const led = [...roots.values()].map((parts) => ({ parts, led: [] as Diagnosed[] }));
  const own = new Set(led.flatMap(({ parts }) => parts.flatMap(({ failing }) => failing)));
  for (const one of findings) {
    if (!one.failed || own.has(one)) continue;
    const root = led.find(({ parts }) =>
      parts.some(({ law, scope }) => law && mayFollow(law, scope?.scope ?? null, one)),
    );
    root?.led.push(one);
  }
  const told = new Set([...own, ...led.flatMap((root) => root.led)]);
  const left = findings.filter((one) => !told.has(one));
  const rows = rowsOf(left).map((row) => explanationOf(row, left));
  return [...led.map((root) => rootExplanation(root, findings)), ...rows].sort(
    (a, b) => b.findings.length - a.findings.length,
  );
}

/** Conditions that have to agree on a frequency before other failures are laid to it. */
const fewestOfFrequency = 3;

/** Laws of which other failures are consequences. */
function leads(law: Law): boolean {
  if (law.kind === 'frequency') return law.conditions >= fewestOfFrequency;
  return law.kind === 'transfer' || law.kind === 'factor';
}

function rootExplanation(
  { parts, led }: { readonly parts: readonly Part[]; readonly led: readonly Diagnosed[] },
  findings: readonly Diagnosed[],
): Explanation {
  const explanation = explanationOf(parts, findings);
  return {
    ...explanation,
    follows: metricsOf(led),
    findings: [...explanation.findings, ...led],
  };
}

function partsOfAll(findings: readonly Diagnosed[]): Part[] {
  const byMetric = group(findings, ({ finding }) => finding.metric);
  return [...byMetric.values()].filter((own) => own.some(({ failed }) => failed)).flatMap(partsOf);
}

function rowsOf(findings: readonly Diagnosed[]): Part[][] {
  const parts = partsOfAll(findings);
  // Steps about a curve that is kept are a cause of their own.
  const offCurve = parts.some(
    ({ failing, passing }) => passing === 0 && failing.every(isNotStraight),
  );
  const lawful = parts.map((part) => (offCurve && isOfCurve(part) ? offTheCurve(part) : part));
  const merged = group(lawful, mergeKey);
  return joinedRows([...merged.values()], findings);
}

/** Rows that nothing tells apart, where they share a place, or the claims of one are all among those of another. */
function joinedRows(rows: readonly Part[][], findings: readonly Diagnosed[]): Part[][] {
  const placed = rows.filter((row) => !isPlain(row)).map((row) => [...row]);
  const plain = rows.filter(isPlain).filter((row) => {
    const home = placed.find((other) => liesInPlaceOf(other, row));
    home?.push(...row.map((part) => ({ ...part, law: null, scope: home[0]?.scope ?? null })));
    return !home;
  });
  if (plain.length < 2) return [...placed, ...plain];
  const failing = new Set(plain.flat().flatMap((part) => part.failing));
  const metrics = new Set([...failing].map(({ finding }) => finding.metric));
  const looked = findings.filter(
    (one) => metrics.has(one.finding.metric) && (!one.failed || failing.has(one)),
  );
  const scope = bestScope(looked);
  return scope && scope.failingOutside === 0
    ? [...placed, [scopedPart(scope, looked)]]
    : [...placed, ...withinOthers(plain)];
}

/** Neither a place nor a law, or a law that says no more than its few figures. */
function isPlain(row: readonly Part[]): boolean {
  return row.every(({ law, scope }) => !scope && (!law || (law.kind === 'curve' && !law.instead)));
}

/** All that fails of a row lies where another row fails and nothing else does. */
function liesInPlaceOf(other: readonly Part[], row: readonly Part[]): boolean {
  const scope = other[0]?.scope?.scope;
  if (!scope || !other.every((part) => part.scope)) return false;
  return row.every(({ failing }) => failing.every((one) => liesWithin(scope, one)));
}

function scopedPart(scope: Scoped, findings: readonly Diagnosed[]): Part {
  const failing = findings.filter(({ failed }) => failed);
  return { scope, law: null, failing, passing: findings.length - failing.length };
}

/** More rows that name neither a place nor a law are one. */
const mostPlain = 3;

/** What fails in claims that fail for another row as well is no row of its own. */
function withinOthers(rows: readonly Part[][]): Part[][] {
  const claimed = rows.map((row) => ({
    row,
    claims: new Set(row.flatMap(({ failing }) => failing.map(({ spec }) => spec))),
  }));
  const kept: { readonly row: Part[]; readonly claims: ReadonlySet<string> }[] = [];
  for (const { row, claims } of claimed.sort((a, b) => b.claims.size - a.claims.size)) {
    const wider = kept.find((one) => [...claims].every((claim) => one.claims.has(claim)));
    if (wider) wider.row.push(...row);
    else kept.push({ row: [...row], claims });
  }
  // What many rows say, of which none says where or why, is that much fails.
  return kept.length > mostPlain ? [kept.flatMap(({ row }) => row)] : kept.map(({ row }) => row);
}
/** A fade that leaves its curve goes too fast somewhere, which is seen as a step. */
function isOfCurve({ law, failing }: Part): boolean {
  const areSteps = failing.every(({ finding }) => finding.metric === 'largest-visible-step');
  return law?.kind === 'curve' || areSteps;
}

/** A law of figures and not only of a place. */
function isQuantity({ kind }: Law): boolean {
  return kind === 'factor' || kind === 'offset' || kind === 'transfer' || kind === 'frequency';
}

function offTheCurve(part: Part): Part {
  return { ...part, scope: null, law: part.law ?? { kind: 'curve', instead: null } };
}

/** What one metric has to say; failures beyond a scope are a part of their own. */
function partsOf(findings: readonly Diagnosed[]): Part[] {
  const overall = commonLaw(findings);
  if (overall && isQuantity(overall)) return [whole(findings, overall)];
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

/** `all` are the findings that the parts were found among: the evidence for their place. */
function explanationOf(parts: readonly Part[], all: readonly Diagnosed[]): Explanation {
  const findings = parts.flatMap(({ failing }) => failing);
  const metrics = metricsOf(findings);
  // A cause that is everywhere is nowhere alone.
  const scope = parts.every((part) => part.scope) ? (parts[0]?.scope?.scope ?? null) : null;
  return {
    scope: scope && countedScope(scope, findings, evidenceOf(metrics, all)),
    law: lawOf(parts),
    metrics,
    follows: [],
    findings,
    passing: parts.reduce((sum, part) => sum + part.passing, 0),
  };
}

function evidenceOf(
  metrics: readonly ExplainedMetric[],
  all: readonly Diagnosed[],
): readonly Diagnosed[] {
  const ids = new Set(metrics.map(({ metric }) => metric));
  return all.filter(({ finding }) => ids.has(finding.metric));
}

function metricsOf(findings: readonly Diagnosed[]): ExplainedMetric[] {
  const byMetric = group(findings, ({ finding }) => finding.metric);
  return [...byMetric]
    .map(([metric, own]) => ({
      metric,
      title: own[0]?.finding.title ?? metric,
      failing: own.length,
    }))
    .sort((a, b) => b.failing - a.failing);
}

/** The one of the parts that says most; what only some of the parts say is said of none. */
function lawOf(parts: readonly Part[]): Law | null {
  const laws = parts.flatMap(({ law }) => law ?? []);
  const telling = laws.find((law) => law.kind !== 'curve' || law.instead !== null);
  return telling ?? (laws.length === parts.length ? (laws[0] ?? null) : null);
}
