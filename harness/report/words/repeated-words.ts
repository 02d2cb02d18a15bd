import { timesMeasured } from '../../record/measurements.ts';
import type { ConditionRecord, Finding, RunRecord } from '../../record/run-record.ts';
import { coverageOfLooks } from '../../verdict/looks.ts';
import { counted } from './prose.ts';
import { figureText } from './value-text.ts';

/** `mean of 4 measurements`, or the worst of them; null where there was one. */
export function repeatedText({ repeated }: Finding): string | null {
  if (!repeated) return null;
  return `${repeated.by} of ${repeated.values.length} measurements`;
}

/** The value of each measurement, in order; null where there was one. */
export function repeatedValues({ repeated, unit, shown }: Finding): string | null {
  if (!repeated) return null;
  const values = repeated.values.map((value) =>
    value === null ? 'none' : figureText(value, unit, shown, 5),
  );
  return values.join(', ');
}

/** A coverage factor as people read it: `2`, `2.72`. */
export function coverageText(coverageFactor: number): string {
  return String(Number(coverageFactor.toPrecision(3)));
}

/** What it means that a run measured what was inconclusive again, in a sentence; null where it did not. */
export function againSentence({
  decision,
  specs,
}: Pick<RunRecord, 'decision' | 'specs'>): string | null {
  const { again, coverageFactor } = decision;
  if (again === undefined) return null;
  const k = coverageText(coverageOfLooks({ coverageFactor, again }));
  const repeated = specs
    .flatMap(({ conditions }) => conditions)
    .filter((condition) => timesMeasured(condition) > 1);
  return `A condition that was inconclusive might be measured up to ${again} times more, and ${repeated.length} of them were. Of what can be averaged the mean of all measurements is judged, at k = ${k}, so that looking again does not raise the risk of a wrong verdict; of everything else the worst measurement counts.`;
}

/** How often a condition was measured, in a sentence with a space behind it; empty where once. */
export function timesWords(condition: Pick<ConditionRecord, 'measurements'>): string {
  const times = timesMeasured(condition);
  if (times === 1) return '';
  return `${counted(times, 'measurement')}: commands, log and picture are those of the last. `;
}
