import { firmwareLines } from '../record/firmware-lines.ts';
import type { ConditionRecord } from '../record/run-record.ts';
import type { Diagnosed } from './diagnosed-finding.ts';

/** How firmware broke down, as far as its endings are alike. */
export interface SharedTrap {
  /** What it was, and in which function: `divide by zero, in scaled() at fade.c:41`. */
  readonly what: string;
  /** Endings that were like it, of so many. */
  readonly alike: number;
  readonly all: number;
}

const trap = /ended in a trap: (.+)/;

/** The commonest trap of firmware that broke down; null where fewer than two endings are alike, or none was a trap. */
export function sharedTrap(findings: readonly Diagnosed[]): SharedTrap | null {
  const endings = findings.flatMap(({ finding: { reason } }) => trap.exec(reason ?? '')?.[1] ?? []);
  const counts = new Map<string, number>();
  for (const ending of endings) {
    const what = innermost(ending);
    counts.set(what, (counts.get(what) ?? 0) + 1);
  }
  const [most] = [...counts].sort(([, one], [, other]) => other - one);
  if (!most || most[1] < 2) return null;
  return { what: most[0], alike: most[1], all: findings.length };
}

/** Without those that called it: they may differ. */
function innermost(ending: string): string {
  return ending
    .replace(/, called from .*|, which called itself.*/, '')
    .replace(/\. It happened while .*/, '')
    .replace(/\.$/, '');
}

/** Conditions that have to share a line of the log before it is named. */
const fewestConditions = 2;

/**
 * A line that the firmware logged in every condition of these findings, and in none in which all passed; the first of the first of them.
 * Null where there is none, or where the findings are of one condition.
 */
export function sharedLine(
  failing: readonly Diagnosed[],
  all: readonly Diagnosed[],
): string | null {
  const conditions = [...new Set(failing.map(({ condition }) => condition))];
  const [first, ...others] = conditions;
  if (!first || conditions.length < fewestConditions) return null;
  const failed = new Set(all.flatMap(({ condition, failed: is }) => (is ? [condition] : [])));
  const elsewhere = new Set(all.map(({ condition }) => condition));
  for (const condition of failed) elsewhere.delete(condition);
  const told = others.map(textsOf);
  const passing = [...elsewhere].map(textsOf);
  const line = [...textsOf(first)].find(
    (text) => told.every((texts) => texts.has(text)) && !passing.some((texts) => texts.has(text)),
  );
  return line ?? null;
}

function textsOf(condition: ConditionRecord): ReadonlySet<string> {
  const lines = firmwareLines({ ...condition, probes: [] });
  return new Set(lines.filter(({ isGap }) => !isGap).map(({ text }) => text));
}
