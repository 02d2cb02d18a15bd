import { findMetric } from '../../measure/metrics.ts';
import type { Finding } from '../../record/run-record.ts';
import { combined } from '../../verdict/assess.ts';
import { canNarrow, combine, type Single } from '../../verdict/combine.ts';
import { judge } from '../../verdict/judge.ts';
import { limitedBy } from '../../verdict/limited-by.ts';
import { coverageOfLooks, coverageOfSingle, type Looks } from '../../verdict/looks.ts';
import { severity } from '../../verdict/verdict.ts';
import { reasonInWords } from './reason-in-words.ts';

/**
 * The findings of all measurements of a condition as one list: of what can be averaged the mean is judged, of everything else the
 * worst measurement. `measurements`: the findings of each, in order, as each by itself was judged.
 */
export function repeatedFindings(
  measurements: readonly (readonly Finding[])[],
  looks: Looks,
): Finding[] {
  return [...sameQuestion(measurements).values()].map((answers) => {
    const [first] = answers;
    return first && isAveraged(first, looks) ? averaged(answers, looks) : worst(answers);
  });
}

/** Whether another measurement may decide what stands open in such a finding. */
export function mayBeDecided(finding: Finding, looks: Looks): boolean {
  const { repeated } = finding;
  return (repeated ? repeated.by === 'mean' : isAveraged(finding, looks)) && !isHidden(finding);
}

/** What a record could not have shown another record cannot show either. */
function isHidden({ uncertainty, limits: { upper } }: Finding): boolean {
  return upper !== null && (uncertainty?.floor ?? Number.NEGATIVE_INFINITY) > upper;
}

/** Findings that answer one question, by the criterion and its subject: a firmware that broke down answers none of them but its own. */
function sameQuestion(
  measurements: readonly (readonly Finding[])[],
): ReadonlyMap<string, readonly Finding[]> {
  const answers = new Map<string, Finding[]>();
  for (const findings of measurements) {
    const seen = new Map<string, number>();
    for (const finding of findings) {
      const { metric, of, during, line, limits } = finding;
      const name = JSON.stringify([metric, of, during, line ?? null, limits.text]);
      const ordinal = seen.get(name) ?? 0;
      seen.set(name, ordinal + 1);
      const key = `${name} ${ordinal}`;
      answers.set(key, [...(answers.get(key) ?? []), finding]);
    }
  }
  return answers;
}

/**
 * Whether the mean of several measurements is judged: the metric is one that can be averaged, the rule guards against the
 * uncertainty, and enough of that differs from one measurement to the next. Told from the first measurement, whatever its verdict.
 */
function isAveraged({ metric, outcome, uncertainty, rule }: Finding, looks: Looks): boolean {
  if (!findMetric(metric)?.averages || rule !== 'guarded') return false;
  if (!outcome.measured || !uncertainty) return false;
  const { again, coverageFactor: single } = looks;
  return canNarrow(uncertainty, { again, single, looks: coverageOfLooks(looks) });
}

function averaged(answers: readonly Finding[], looks: Looks): Finding {
  const wide = answers.map((answer) => atCoverage(answer, coverageOfSingle(looks)));
  const singles = wide.flatMap(singleOf);
  const isFinal = wide.some(({ verdict }) => verdict === 'fail' || verdict === 'error');
  if (isFinal || singles.length < wide.length) return worst(wide);
  const whole = combine(singles);
  const [first] = wide;
  if (!first || wide.length === 1) return first ?? worst(wide);
  if (whole.isUnsteady) return unsteady(wide);
  return asOne(wide, whole, coverageOfLooks(looks));
}

function singleOf({ outcome, uncertainty }: Finding): Single[] {
  if (!outcome.measured || !uncertainty) return [];
  const { contributions, floor } = uncertainty;
  return [{ value: outcome.value, contributions, floor }];
}

/** A measurement by itself at another coverage factor than it was judged with. */
export function atCoverage(finding: Finding, coverageFactor: number): Finding {
  const { outcome, uncertainty } = finding;
  if (!outcome.measured || !uncertainty) return finding;
  if (uncertainty.coverageFactor === coverageFactor) return finding;
  const { contributions, floor } = uncertainty;
  return judged(finding, { value: outcome.value, contributions, floor }, coverageFactor);
}

/** The finding with these figures, and the verdict on them. */
function judged(finding: Finding, single: Single, coverageFactor: number): Finding {
  const { value, floor } = single;
  const contributions = [...single.contributions];
  const expanded = coverageFactor * combined(contributions);
  const { limits, rule } = finding;
  const { verdict, reason } = judge(value, expanded, limits, rule, floor);
  const limit = verdict === 'inconclusive' ? limitedBy(contributions) : null;
  const why = [reason, limit].filter(Boolean).join('; ');
  return {
    ...finding,
    outcome: { measured: true, value },
    uncertainty: {
      expanded,
      coverageFactor,
      contributions,
      ...(floor === undefined ? {} : { floor }),
    },
    verdict,
    reason: verdict === 'pass' ? null : reasonInWords(finding, { value, expanded }, why),
  };
}

/** Pictures and notes are those of the last measurement. */
function asOne(
  answers: readonly Finding[],
  { value, contributions, floor }: Single,
  coverageFactor: number,
): Finding {
  const last = answers.at(-1);
  if (!last) throw new Error('expected a measurement, found none');
  const captures = answers.flatMap((answer) => answer.captures);
  const finding = judged(last, { value, contributions, floor }, coverageFactor);
  return { ...finding, captures, repeated: { by: 'mean', values: valuesOf(answers) } };
}

/** A mean would hide that the values differ. */
function unsteady(answers: readonly Finding[]): Finding {
  const finding = worst(answers);
  if (finding.verdict === 'pass') return finding;
  const text = `the ${answers.length} measurements differ by more than their uncertainty explains, so that they are not averaged`;
  return { ...finding, reason: [finding.reason, text].filter(Boolean).join('; ') };
}

/** The measurement with the worst verdict, of equals the first. */
function worst(answers: readonly Finding[]): Finding {
  const rank = ({ verdict }: Finding): number => severity.indexOf(verdict);
  const finding = answers.reduce((a, b) => (rank(b) < rank(a) ? b : a));
  if (answers.length === 1) return finding;
  return { ...finding, repeated: { by: 'worst', values: valuesOf(answers) } };
}

function valuesOf(answers: readonly Finding[]): (number | null)[] {
  return answers.map(({ outcome }) => (outcome.measured ? outcome.value : null));
}
