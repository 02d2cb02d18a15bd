import { sum } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { ownFacets } from './facets.ts';
import { areOrdered, patternOf, type ValuePattern } from './value-pattern.ts';

/** Where findings fail and nowhere else: `channel` is `warm`; `level` is at most `1 %`. */
export interface Scope {
  readonly facet: string;
  /** The values it fails at, one of them or some. */
  readonly values: readonly string[];
  /** How the failing values lie among the others, where they have an order. */
  readonly pattern: ValuePattern | null;
}

export interface Scoped {
  readonly scope: Scope;
  /** Of the findings within the scope and outside of it. */
  readonly failing: number;
  readonly within: number;
  readonly passingOutside: number;
  /** Failures that the scope leaves out. */
  readonly failingOutside: number;
}

/** One failure is nowhere but where it is; fewer passes elsewhere are no evidence that it is there alone. */
const fewestWithin = 2;
const fewestOutside = 2;
/** A scope is one where nearly all of it fails and nearly nothing else. */
const fewestFailing = 0.9;
/**
 * Where claims differ in more than the place, chance has to be ruled out: the G statistic of one degree of freedom that one split in 1000
 * exceeds [NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.4, critical values of the chi-squared distribution].
 */
const beyondChance = 10.828;

/** Names that one place may have. */
const mostNames = 4;

/** Facets that a reader looks at first, where several tell the findings apart equally well. */
const firstFacets: readonly string[] = [
  ownFacets.channel,
  ownFacets.direction,
  ownFacets.link,
  ownFacets.power,
];

/** The facet that tells best where these findings fail; null where they fail everywhere, or here and there. */
export function bestScope(findings: readonly Diagnosed[]): Scoped | null {
  const names = new Set(findings.flatMap(({ facets }) => [...facets.keys()]));
  const ordered = [...names].sort((a, b) => rank(a) - rank(b));
  const scoped = ordered.flatMap((facet) => scopeBy(facet, findings) ?? []);
  const whole = scoped.filter((one) => one.failing >= fewestFailing * one.within);
  const good = whole.filter((one) => one.failingOutside === 0);
  // The widest look wins: more passes elsewhere, more evidence.
  const [best = null] = (good.length > 0 ? good : whole.length > 0 ? whole : scoped).sort(
    (a, b) => a.failingOutside - b.failingOutside,
  );
  return best;
}

/** Whether a finding lies in a scope. */
export function liesWithin({ facet, values }: Scope, one: Diagnosed): boolean {
  return valuesOf(one, facet).some((value) => values.includes(value));
}

/** A condition may speak several links; it lies in the places of all of them. */
function valuesOf({ facets }: Diagnosed, facet: string): readonly string[] {
  const value = facets.get(facet);
  if (value === undefined) return [];
  return facet === ownFacets.link ? value.split(' and ') : [value];
}

function rank(facet: string): number {
  const place = firstFacets.indexOf(facet);
  if (place >= 0) return place;
  // What a spec names says more than the level that follows from it.
  return facet === ownFacets.level ? 100 : 50;
}

function scopeBy(facet: string, findings: readonly Diagnosed[]): Scoped | null {
  const applied = findings.filter((one) => valuesOf(one, facet).length > 0);
  const byValue = new Map<string, { failing: number; all: number }>();
  for (const one of applied)
    for (const value of valuesOf(one, facet)) {
      const count = byValue.get(value) ?? { failing: 0, all: 0 };
      byValue.set(value, { failing: count.failing + (one.failed ? 1 : 0), all: count.all + 1 });
    }
  const bad = [...byValue].filter(([, count]) => count.failing >= fewestFailing * count.all);
  const some = [...byValue].filter(([, count]) => count.failing > 0);
  return (
    scopedBy(facet, names(bad), { findings, applied, byValue }, isWhole) ??
    (firstFacets.includes(facet)
      ? scopedBy(facet, names(some), { findings, applied, byValue }, isPartly)
      : null)
  );
}

interface Counted {
  readonly findings: readonly Diagnosed[];
  /** Those that the facet applies to; of what it does not apply to there is no evidence about it. */
  readonly applied: readonly Diagnosed[];
  readonly byValue: ReadonlyMap<string, unknown>;
}

function names(values: readonly (readonly [string, unknown])[]): string[] {
  return values.map(([value]) => value).sort();
}

function scopedBy(
  facet: string,
  values: readonly string[],
  { findings, applied, byValue }: Counted,
  isEvident: (counts: Counts, looks: Looks) => boolean,
): Scoped | null {
  if (values.length === 0 || values.length === byValue.size) return null;
  const good = [...byValue.keys()].filter((value) => !values.includes(value));
  const pattern = patternOf(values, good);
  // Some of many names are no explanation, nor are some of many figures without a pattern.
  const most = areOrdered(values) ? 1 : mostNames;
  if (!pattern && values.length > Math.min(most, Math.max(1, byValue.size / 2))) return null;
  const scope = { facet, values, pattern };
  const counted = countedScope(
    scope,
    findings.filter(({ failed }) => failed),
    applied,
  );
  const looks = {
    within: applied.filter((one) => liesWithin(scope, one)),
    outside: applied.filter((one) => !liesWithin(scope, one)),
  };
  return isEvident(counted, looks) ? counted : null;
}

/** The evidence for a place: `failing` are laid to it, `all` were looked at. What the place does not apply to says nothing. */
export function countedScope(
  scope: Scope,
  failing: readonly Diagnosed[],
  all: readonly Diagnosed[],
): Scoped {
  const applied = all.filter((one) => valuesOf(one, scope.facet).length > 0);
  const within = applied.filter((one) => liesWithin(scope, one));
  const failingWithin = within.filter(({ failed }) => failed).length;
  return {
    scope,
    failing: failingWithin,
    within: within.length,
    passingOutside: applied.filter((one) => !one.failed && !liesWithin(scope, one)).length,
    failingOutside: failing.filter((one) => !liesWithin(scope, one)).length,
  };
}

type Counts = Omit<Scoped, 'scope'>;

interface Looks {
  readonly within: readonly Diagnosed[];
  readonly outside: readonly Diagnosed[];
}

/** Nearly all of the place fails, and nearly nothing else. */
function isWhole({ failing, within, failingOutside }: Counts, looks: Looks): boolean {
  return (
    failing >= fewestWithin &&
    failing >= fewestFailing * within &&
    failing >= fewestFailing * (failing + failingOutside) &&
    (passesBeside(looks) >= fewestOutside || isBeyondChance(looks))
  );
}

/** Some of the place fails, and nothing else. */
function isPartly({ failingOutside }: Counts, looks: Looks): boolean {
  return failingOutside === 0 && isBeyondChance(looks);
}

/** Passes elsewhere in the very claims that fail: there all but the place is the same. */
function passesBeside({ within, outside }: Looks): number {
  const claims = new Set(within.filter(({ failed }) => failed).map(({ spec }) => spec));
  return outside.filter(({ spec, failed }) => !failed && claims.has(spec)).length;
}

/** Claims that fail within and pass outside, each counted once on either side, however many findings it has. */
function isBeyondChance({ within, outside }: Looks): boolean {
  const [failing, looked] = [claimsOf(within.filter(({ failed }) => failed)), claimsOf(within)];
  const passing = claimsOf(outside);
  const all = looked + passing;
  const cells = [
    [failing, (looked * failing) / all],
    [looked - failing, (looked * (all - failing)) / all],
    [passing, (passing * (all - failing)) / all],
  ] as const;
  const terms = cells.map(([found, expected]) =>
    found === 0 ? 0 : 2 * found * Math.log(found / expected),
  );
  return sum(terms) > beyondChance;
}

function claimsOf(findings: readonly Diagnosed[]): number {
  return new Set(findings.map(({ spec }) => spec)).size;
}
