import { group } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { isNotStraight } from './law.ts';
import { mergeKey, type Part, partsOfAll } from './part.ts';
import { bestScope, liesWithin, type Scoped } from './scope.ts';

/** Parts that have one cause, as far as their place and figures tell. */
export function rowsOf(findings: readonly Diagnosed[]): Part[][] {
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

function offTheCurve(part: Part): Part {
  return { ...part, scope: null, law: part.law ?? { kind: 'curve', instead: null } };
}
