import type { Finding, SpecRecord } from '../../record/run-record.ts';
import { parseQuantity } from '../../units/parse-quantity.ts';
import { findingsWorstFirst, type Placed } from '../words/worst-first.ts';

/** One level of a claim: as the spec writes it, and its worst finding of the question that the picture is about. */
export interface LevelRow {
  readonly level: string;
  readonly placed: Placed;
}

export interface LevelRows {
  /** The brightest first. */
  readonly rows: readonly LevelRow[];
  readonly worst: Placed;
}

/** Fewer levels need no picture of their own, more find no room in one. */
const fewest = 3;
const most = 24;

/**
 * The levels that a claim goes through, each with its finding of the same metric, subject and window as the claim's worst one that is
 * drawn; null where it has no axis of levels, or too few of them.
 */
export function levelRows(
  spec: SpecRecord,
  isDrawn: (placed: Placed) => boolean,
): LevelRows | null {
  const axis = levelAxisOf(spec);
  const found = findingsWorstFirst(spec).filter(isDrawn);
  const [worst] = found;
  if (axis === null || !worst) return null;
  const rows = new Map<string, Placed>();
  for (const placed of found) {
    const level = placed.condition.values[axis];
    if (level === undefined || !isAlike(placed.finding, worst.finding)) continue;
    // Other axes of the matrix: the worst of them stands for the level, as it comes first.
    if (!rows.has(level)) rows.set(level, placed);
  }
  const sorted = [...rows].sort(([one], [two]) => (shareOf(two) ?? 0) - (shareOf(one) ?? 0));
  if (sorted.length < fewest || sorted.length > most) return null;
  return { rows: sorted.map(([level, placed]) => ({ level, placed })), worst };
}

function isAlike(one: Finding, two: Finding): boolean {
  return one.metric === two.metric && one.of === two.of && one.during === two.during;
}

/** The axis that is called level, or else one with nothing but shares of full light. */
function levelAxisOf({ conditions }: SpecRecord): string | null {
  const names = [...new Set(conditions.flatMap(({ values }) => Object.keys(values)))];
  const levels = names.filter((name) =>
    conditions.every(({ values }) => {
      const value = values[name];
      return value === undefined || shareOf(value) !== null;
    }),
  );
  return levels.find((name) => name === 'level') ?? levels[0] ?? null;
}

function shareOf(text: string): number | null {
  const parsed = parseQuantity(text);
  return parsed.ok && parsed.quantity.dimension === 'ratio' ? parsed.quantity.value : null;
}
