import type { ConditionRecord, RunRecord } from './run-record.ts';

/** What of a run was not run in it, in words; null where all was. */
export function reusedText({ specs }: Pick<RunRecord, 'specs'>): string | null {
  return reusedWords(specs.flatMap(({ conditions }) => conditions));
}

/** The same of some conditions. */
export function reusedWords(
  conditions: readonly Pick<ConditionRecord, 'takenFrom'>[],
): string | null {
  const taken = conditions.flatMap(({ takenFrom }) => (takenFrom ? [takenFrom.run] : []));
  if (taken.length === 0) return null;
  const what = taken.length === 1 ? '1 condition was' : `${taken.length} conditions were`;
  const runs = [...new Set(taken)].join(', ');
  return `${what} not run: nothing that their results rest on has changed since, and they were taken from ${runs}`;
}
