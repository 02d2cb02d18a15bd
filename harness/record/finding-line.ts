import type { Verdict } from '../verdict/verdict.ts';
import type { Finding, RunRecord } from './run-record.ts';

/** A finding without its evidence, with where it stands: what an index keeps and what two runs are compared by. */
export interface FindingLine {
  readonly spec: string;
  readonly condition: string;
  readonly repeat: number;
  readonly metric: string;
  readonly title: string;
  readonly of: string;
  readonly during: string | null;
  /** Counts criteria that agree in all of the above (one metric held against two limits, say). */
  readonly ordinal: number;
  /** SI unit of all figures, and the unit to show them in. */
  readonly unit: string;
  readonly shown: string;
  /** Null where it could not be measured; `notMeasurable` then says why. */
  readonly value: number | null;
  readonly notMeasurable: string | null;
  /** Expanded uncertainty and its coverage factor. */
  readonly expanded: number | null;
  readonly lower: number | null;
  readonly upper: number | null;
  readonly target: number | null;
  readonly verdict: Verdict;
}

/** Every finding of a run in the record's order. */
export function findingLines(record: RunRecord): FindingLine[] {
  const seen = new Map<string, number>();
  return record.specs.flatMap(({ spec, conditions }) =>
    conditions.flatMap(({ key, repeat, findings }) =>
      findings.map((finding) => {
        const line = lineOf(spec, key, repeat, finding);
        const ordinal = seen.get(findingKey(line)) ?? 0;
        seen.set(findingKey(line), ordinal + 1);
        return { ...line, ordinal };
      }),
    ),
  );
}

function lineOf(spec: string, condition: string, repeat: number, finding: Finding): FindingLine {
  const { outcome, uncertainty, limits } = finding;
  return {
    spec,
    condition,
    repeat,
    metric: finding.metric,
    title: finding.title,
    of: finding.of,
    during: finding.during,
    ordinal: 0,
    unit: finding.unit,
    shown: finding.shown,
    value: outcome.measured ? outcome.value : null,
    notMeasurable: outcome.measured ? null : outcome.reason,
    expanded: uncertainty?.expanded ?? null,
    lower: limits.lower,
    upper: limits.upper,
    target: limits.target,
    verdict: finding.verdict,
  };
}

type Place = Pick<
  FindingLine,
  'spec' | 'condition' | 'repeat' | 'metric' | 'of' | 'during' | 'ordinal'
>;

/** Findings of two runs with one key are the same question asked twice. */
export function findingKey(place: Place): string {
  const { spec, condition, repeat, metric, of, during, ordinal } = place;
  return [spec, condition, repeat, metric, of, during ?? '', ordinal].join('\t');
}
