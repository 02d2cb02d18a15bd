import { group } from 'd3-array';
import type { Diagnosed } from './diagnosed-finding.ts';
import { mayFollow } from './follows.ts';
import type { Law } from './law.ts';
import { mergeKey, type Part, partsOfAll } from './part.ts';
import { rowsOf } from './rows.ts';
import { countedScope, type Scoped } from './scope.ts';
import { type SharedTrap, sharedLine, sharedTrap } from './shared-endings.ts';

/** Failing findings that have something in common, and what. */
export interface Explanation {
  /** Where they fail and nowhere else; null where no such place is known. */
  readonly scope: Scoped | null;
  readonly law: Law | null;
  /** The claims that the law holds in, where it does not hold in all that look at the metric. */
  readonly claims: readonly string[] | null;
  /** Metrics that fail, the most frequent first, with the findings of each. */
  readonly metrics: readonly ExplainedMetric[];
  /** Metrics of findings that the law may have made fail as well. */
  readonly follows: readonly ExplainedMetric[];
  readonly findings: readonly Diagnosed[];
  /** Findings of the same metrics that pass. */
  readonly passing: number;
  /** Where firmware broke down: how its endings are alike. */
  readonly trap: SharedTrap | null;
  /** A line that the firmware logged in all of these conditions, and in none that passed. */
  readonly logged: string | null;
}

interface ExplainedMetric {
  readonly metric: string;
  readonly title: string;
  readonly failing: number;
}

/** What the figures of a run alone say of its failures, each failure in one explanation; the largest first. */
export function explain(findings: readonly Diagnosed[]): readonly Explanation[] {
  const roots = group(partsOfAll(findings).filter(leads), mergeKey);
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
  return [...led.map((root) => rootExplanation(root, findings)), ...rows]
    .map((row) => ({ ...row, logged: sharedLine(row.findings, findings) }))
    .sort((a, b) => b.findings.length - a.findings.length);
}

/** Conditions that have to agree on a frequency before other failures are laid to it. */
const fewestOfFrequency = 3;

/** Whether other failures are consequences of its law: of a factor, where it is one of time. */
function leads({ law, failing }: Part): boolean {
  if (law?.kind === 'frequency') return law.conditions >= fewestOfFrequency;
  if (law?.kind === 'factor')
    return failing.every(({ finding }) => finding.metric === 'fade-duration');
  return law?.kind === 'transfer';
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

/** `all` are the findings that the parts were found among: the evidence for their place. */
function explanationOf(parts: readonly Part[], all: readonly Diagnosed[]): Explanation {
  const findings = parts.flatMap(({ failing }) => failing);
  const metrics = metricsOf(findings);
  // A cause that is everywhere is nowhere alone.
  const scope = parts.every((part) => part.scope) ? (parts[0]?.scope?.scope ?? null) : null;
  return {
    scope: scope && countedScope(scope, findings, evidenceOf(metrics, all)),
    law: lawOf(parts),
    claims: parts.length === 1 ? (parts[0]?.claims ?? null) : null,
    metrics,
    follows: [],
    findings,
    passing: parts.reduce((sum, part) => sum + part.passing, 0),
    trap: sharedTrap(findings),
    logged: null,
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
