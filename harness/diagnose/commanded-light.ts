import type { ConditionRecord, Finding } from '../record/run-record.ts';

export interface CommandedLight {
  /** Where the subject's level was told to end, 0 to 1; null where nothing says so. */
  readonly level: number | null;
  /** Which way it was told to go; null where it was told to stay, or both. */
  readonly direction: 'up' | 'down' | null;
}

const unknown: CommandedLight = { level: null, direction: null };

/** What the light of a finding's subject was told in its window. */
export function commandedLight(condition: ConditionRecord, finding: Finding): CommandedLight {
  const [from, to] = windowOf(condition, finding.during);
  const lines = (condition.commanded ?? []).filter(({ channel }) => channel === finding.of);
  const segments = (lines.length > 0 ? lines : (condition.commanded ?? [])).flatMap((line) =>
    line.segments.filter(([begin, end]) => end > from && begin < to),
  );
  if (segments.length === 0) return unknown;
  const ramps = segments.filter(([, , first, last]) => first !== last);
  const ways = new Set(ramps.map(([, , first, last]) => (last > first ? 'up' : 'down')));
  const [way] = ways;
  const ends = segments.filter(([, end]) => end >= Math.min(to, lastOf(segments)));
  return {
    level: Math.max(...ends.map(([, , , last]) => last)),
    direction: way !== undefined && ways.size === 1 ? way : null,
  };
}

function lastOf(segments: readonly (readonly [number, number, number, number])[]): number {
  return Math.max(...segments.map(([, end]) => end));
}

/** From the mark of that name to the next; all of the condition where there is none. */
function windowOf({ marks }: ConditionRecord, during: string | null): [number, number] {
  const index = marks.findIndex(({ name }) => name === during);
  const from = marks[index]?.at ?? Number.NEGATIVE_INFINITY;
  return [from, marks[index + 1]?.at ?? Number.POSITIVE_INFINITY].slice(0, 2) as [number, number];
}
