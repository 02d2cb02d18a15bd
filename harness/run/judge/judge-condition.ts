import type { Lamp } from '../../bench/lamp.ts';
import { refusalCharts } from '../../measure/charts/refusal-charts.ts';
import { roundedCharts } from '../../measure/charts/rounded-charts.ts';
import type { Chart } from '../../measure/evidence.ts';
import { explainNotMeasurable } from '../../measure/explain.ts';
import type { Metric } from '../../measure/metric.ts';
import { findMetric } from '../../measure/metrics.ts';
import type { ModelledLamp } from '../../measure/modelled-lamp.ts';
import type { Commanded, Observation } from '../../measure/observation.ts';
import { qualified } from '../../measure/qualified.ts';
import { judgedSubjects } from '../../plan/judged-subjects.ts';
import type { Criterion } from '../../plan/plan.ts';
import { markWindow } from '../../plan/schedule.ts';
import type { Finding } from '../../record/run-record.ts';
import { formatQuantity } from '../../units/format-quantity.ts';
import { assess } from '../../verdict/assess.ts';
import { judge } from '../../verdict/judge.ts';
import { limitedBy } from '../../verdict/limited-by.ts';
import type { Limits } from '../../verdict/limits.ts';
import { settledBy } from '../../verdict/settled.ts';
import type { Assessment, Refused } from '../../verdict/uncertainty.ts';
import { verdictOfUnmeasurable } from '../../verdict/unmeasurable.ts';
import { limitsFor } from './derived-limits.ts';
import type { ObservedCondition } from './observed-condition.ts';
import { reasonInWords } from './reason-in-words.ts';

export interface JudgeSetup {
  readonly lamp: Lamp;
  readonly rule: 'simple' | 'guarded';
  readonly coverageFactor: number;
}

/** What is asked of the light: a criterion, for one subject. */
interface Question {
  readonly criterion: Criterion;
  readonly metric: Metric;
  /** A channel, `light`, or `lamp`. */
  readonly of: string;
}

/** Holds one condition's records against its criteria: one finding per criterion and subject, in the spec's order. */
export function judgeCondition(
  criteria: readonly Criterion[],
  observed: ObservedCondition,
  setup: JudgeSetup,
): Finding[] {
  return criteria.flatMap((criterion) => {
    const found = findMetric(criterion.metric);
    // The spec was read against the same registry; an unknown name cannot come this far.
    if (!found) throw new Error(`no metric ${criterion.metric}`);
    const metric = qualified(found, criterion.parameters);
    return judgedSubjects(criterion, metric, setup.lamp, observed.commanded).map((of) =>
      answer({ criterion, metric, of }, observed, setup),
    );
  });
}

function answer(question: Question, observed: ObservedCondition, setup: JudgeSetup): Finding {
  const { criterion, metric, of } = question;
  const show = (value: number): string => formatQuantity(value, metric.dimension, metric.shown);
  const limits = limitsFor(criterion.limits, setup.lamp, of, show);
  const common = commonPart(question, setup);
  if ('missing' in limits) return { ...common, ...withoutTarget(criterion, limits.missing) };
  const asked = observation(question, observed);
  const assessed = assess(
    metric,
    asked,
    observed.calibration,
    setup.coverageFactor,
    settledBy(limits),
  );
  const captures = [...assessed.captures];
  const judged =
    'expanded' in assessed
      ? measuredPart(metric, assessed, limits, setup)
      : refusedPart(assessed, refusalCharts(metric, asked));
  return { ...common, limits: { ...limits }, captures, ...judged };
}

/** What a finding says whatever was found. */
function commonPart({ criterion, metric, of }: Question, { rule }: JudgeSetup) {
  return {
    metric: metric.id,
    title: metric.title,
    of,
    unit: metric.unit,
    shown: metric.shown,
    source: metric.source,
    during: criterion.during ?? null,
    line: criterion.line,
    rule,
  };
}

type Judged = Pick<Finding, 'outcome' | 'uncertainty' | 'verdict' | 'reason' | 'evidence'>;

const noEvidence: Finding['evidence'] = { charts: [], notes: {} };

function measuredPart(
  metric: Metric,
  { outcome, expanded, contributions }: Assessment,
  limits: Limits,
  { rule, coverageFactor }: JudgeSetup,
): Judged {
  const { verdict, reason } = judge(outcome.value, expanded, limits, rule, outcome.floor);
  const { charts, notes } = outcome.evidence;
  const limit = verdict === 'inconclusive' ? limitedBy(contributions) : null;
  const why = [reason, limit].filter(Boolean).join('; ');
  return {
    outcome: { measured: true, value: outcome.value },
    uncertainty: {
      expanded,
      coverageFactor,
      contributions: contributions.map(({ name, standard, isNoise, allowance = 1 }) => ({
        name,
        standard,
        ...(isNoise && { random: standard / allowance }),
      })),
      ...(outcome.floor === undefined ? {} : { floor: outcome.floor }),
    },
    verdict,
    reason:
      verdict === 'pass'
        ? null
        : reasonInWords({ ...metric, limits }, { value: outcome.value, expanded }, why),
    evidence: { charts: roundedCharts(charts), notes } as Finding['evidence'],
  };
}

function refusedPart({ outcome }: Refused, charts: readonly Chart[]): Judged {
  const { measured, reason, ...facts } = outcome;
  return {
    outcome: { measured, reason, ...facts },
    uncertainty: null,
    verdict: verdictOfUnmeasurable(reason),
    reason: explainNotMeasurable(outcome),
    evidence: { charts: roundedCharts(charts), notes: {} } as Finding['evidence'],
  };
}

/** The lamp file does not say what the criterion is held against: nothing was computed. */
function withoutTarget(
  { limits }: Criterion,
  missing: string,
): Judged & Pick<Finding, 'limits' | 'captures'> {
  return {
    limits: { lower: null, upper: null, target: null, text: limits.text },
    outcome: { measured: false, reason: 'no-reference', note: missing },
    uncertainty: null,
    captures: [],
    verdict: 'not run',
    reason: missing,
    evidence: noEvidence,
  };
}

function observation(
  { criterion, metric, of }: Question,
  observed: ObservedCondition,
): Observation {
  const modelled = metric.needs.model ? observed.modelled() : null;
  const { records, colour, frames, commanded, selfReports, probes } = observed;
  const nowhere = { from: 0, to: 0 };
  const window = (name: string | undefined) => markWindow(commanded, name) ?? nowhere;
  return {
    of,
    window: window(criterion.during),
    ...(criterion.reference && { reference: window(criterion.reference) }),
    records: criterion.signal
      ? records.filter(({ signal }) => signal === criterion.signal)
      : records,
    colour,
    frames,
    commanded: modelled ? timedByModel(commanded, modelled) : commanded,
    ...(modelled && { modelled }),
    ...(selfReports.length > 0 && { selfReports }),
    ...(probes.length > 0 && { probes }),
    parameters: criterion.parameters,
  };
}

/** What counts are the instants at which things arrived, and not those at which the commanded light was taken to change. */
function timedByModel(
  { standardInstant: _commands, supplyChanges: _supply, ...commanded }: Commanded,
  { standardInstant }: ModelledLamp,
): Commanded {
  return { ...commanded, ...(standardInstant > 0 && { standardInstant }) };
}
