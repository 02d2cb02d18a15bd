import { parseQuantity } from '../units/parse-quantity.ts';
import type { Diagnosed } from './diagnosed-finding.ts';
import { ownFacets } from './facets.ts';

/** Where findings fail and nowhere else: `channel` is `warm`; `level` is at most `1 %`. */
export interface Scope {
  readonly facet: string;
  /** The values it fails at, one of them or some. */
  readonly values: readonly string[];
  /** Where all failing values lie to one side of all passing ones, the last that fails. */
  readonly bound: { readonly side: 'at most' | 'at least'; readonly value: string } | null;
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
  const good = scoped.filter((one) => one.failingOutside === 0);
  // The widest look wins: more passes elsewhere, more evidence.
  const [best = null] = (good.length > 0 ? good : scoped).sort(
    (a, b) => a.failingOutside - b.failingOutside,
  );
  return best;
}

/** Whether a finding lies in a scope. */
export function liesWithin({ facet, values }: Scope, { facets }: Diagnosed): boolean {
  const value = facets.get(facet);
  return value !== undefined && values.includes(value);
}

function rank(facet: string): number {
  const place = firstFacets.indexOf(facet);
  if (place >= 0) return place;
  // What a spec names says more than the level that follows from it.
  return facet === ownFacets.level ? 100 : 50;
}

function scopeBy(facet: string, findings: readonly Diagnosed[]): Scoped | null {
  const byValue = new Map<string, { failing: number; all: number }>();
  for (const { facets, failed } of findings) {
    const value = facets.get(facet);
    if (value === undefined) continue;
    const count = byValue.get(value) ?? { failing: 0, all: 0 };
    byValue.set(value, { failing: count.failing + (failed ? 1 : 0), all: count.all + 1 });
  }
  const bad = [...byValue].filter(([, count]) => count.failing >= fewestFailing * count.all);
  if (bad.length === 0 || bad.length === byValue.size) return null;
  const failing = bad.reduce((sum, [, count]) => sum + count.failing, 0);
  const within = bad.reduce((sum, [, count]) => sum + count.all, 0);
  const failingAll = findings.filter(({ failed }) => failed).length;
  const failingOutside = failingAll - failing;
  // What a facet does not apply to is no evidence about it.
  const applied = [...byValue.values()].reduce((sum, { all }) => sum + all, 0);
  const failingApplied = [...byValue.values()].reduce((sum, count) => sum + count.failing, 0);
  const passingOutside = applied - within - (failingApplied - failing);
  if (
    failing < fewestWithin ||
    passingOutside < fewestOutside ||
    failing < fewestFailing * failingAll
  )
    return null;
  const values = bad.map(([value]) => value);
  const bound = boundOf(
    values,
    [...byValue.keys()].filter((value) => !values.includes(value)),
  );
  // Some of many names without an order are no explanation.
  if (values.length > 1 && !bound && values.length > byValue.size / 2) return null;
  return { scope: { facet, values, bound }, failing, within, passingOutside, failingOutside };
}

function boundOf(bad: readonly string[], good: readonly string[]): Scope['bound'] {
  const [failing, passing] = [bad.map(figureOf), good.map(figureOf)];
  if ([...failing, ...passing].some(Number.isNaN) || new Set([...bad, ...good]).size < 3)
    return null;
  const [low, high] = [Math.min(...failing), Math.max(...failing)];
  const at = (figure: number): string => bad[failing.indexOf(figure)] ?? '';
  if (high < Math.min(...passing)) return { side: 'at most', value: at(high) };
  if (low > Math.max(...passing)) return { side: 'at least', value: at(low) };
  return null;
}

function figureOf(text: string): number {
  const parsed = parseQuantity(text);
  return parsed.ok ? parsed.quantity.value : Number.NaN;
}
