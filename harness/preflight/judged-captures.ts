import type { Metric } from '../measure/metric.ts';
import type { Window } from '../measure/observation.ts';
import { chooseRecord } from '../measure/subject/choose-record.ts';
import type { PlannedCapture } from '../plan/captures/planned-capture.ts';
import type { Criterion } from '../plan/plan.ts';

/**
 * The captures that a metric will read in a window to judge a subject, by the rule that it chooses its records by. Of what
 * the lamp has one of (its colour, its pins) that is the one that shares most with the window.
 */
export function judgedCaptures(
  { signal }: Pick<Criterion, 'signal'>,
  { needs }: Pick<Metric, 'needs'>,
  subjects: readonly string[],
  window: Window,
  planned: readonly PlannedCapture[],
): readonly PlannedCapture[] {
  const signals = signal ? [signal] : needs.signals;
  const own = subjects.flatMap((of) => chooseRecord(planned, { of, signals, window }) ?? []);
  if (own.length > 0) return own;
  for (const one of signals) {
    const found = chooseRecord(planned, { of: one, signals: [one], window });
    if (found) return [found];
  }
  return [];
}
