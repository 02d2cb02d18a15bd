import type { ConditionRecord } from '../../record/run-record.ts';

/** Digitisers whose records are not proved to be new, in a sentence with a space behind it; empty where all are. */
export function freshnessWords({ freshness = [] }: ConditionRecord): string {
  const doubtful = freshness.filter(({ proof }) => proof === 'not proved');
  if (doubtful.length === 0) return '';
  const names = doubtful.map(({ instrument }) => instrument).join(', ');
  return `Freshness not proved: nothing shows that the records of ${names} were taken during this run. `;
}
