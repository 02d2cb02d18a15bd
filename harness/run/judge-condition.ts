import type { Lamp } from '../bench/lamp.ts';
import { roundedCharts } from '../measure/charts/rounded-charts.ts';
import { explainNotMeasurable } from '../measure/explain.ts';
import type { Metric } from '../measure/metric.ts';
import { findMetric } from '../measure/metrics.ts';
import type { Commanded, Observation, Window } from '../measure/observation.ts';
import type { Criterion } from '../plan/plan.ts';
import { markWindow } from '../plan/schedule.ts';
import type { Finding } from '../record/run-record.ts';
import { formatMeasured, formatQuantity } from '../units/format-quantity.ts';
import { assess } from '../verdict/assess.ts';
import { judge } from '../verdict/judge.ts';
import type { Limits } from '../verdict/limits.ts';
import { settledBy } from '../verdict/settled.ts';
import { verdictOfUnmeasurable } from '../verdict/unmeasurable.ts';
import { limitsFor } from './derived-limits.ts';
import type { Evidenced } from './observe-pass.ts';

export interface JudgeSetup {
  readonly lamp: Lamp;
  readonly rule: 'simple' | 'guarded';
  readonly coverageFactor: number;
}

/** Holds one condition's records against its criteria: one finding per criterion and subject, in the spec's order. */
export function judgeCondition(
  criteria: readonly Criterion[],
  evidence: Evidenced,
  setup: JudgeSetup,
): Finding[] {
  return criteria.flatMap((criterion) => {
    const metric = findMetric(criterion.metric);
    // The spec was read against the same registry; an unknown name cannot come this far.
    if (!metric) throw new Error(`no metric ${criterion.metric}`);
    return subjectsOf(criterion, metric, setup.lamp, evidence.commanded).map((of) =>
      finding(criterion, metric, of, evidence, setup),
    );
  });
}

/** `each-channel` of a fade's quantity means each channel that fades: a crossfade leaves some where they are. */
function subjectsOf(
  { of, during }: Criterion,
  metric: Metric,
  lamp: Lamp,
  commanded: Commanded,
): readonly string[] {
  if (metric.needs.scope === 'all-channels') return ['lamp'];
  if (of !== 'each-channel') return [of];
  const channels = lamp.channels.map(({ channel }) => channel);
  if (!metric.needs.fade) return channels;
  const window = markWindow(commanded, during) ?? { from: 0, to: 0 };
  const fading = channels.filter((channel) => fadesWithin(commanded, channel, window));
  return fading.length > 0 ? fading : channels;
}

function fadesWithin(commanded: Commanded, name: string, { from, to }: Window): boolean {
  const segments = commanded.channels.find(({ channel }) => channel === name)?.segments ?? [];
  return segments.some(
    (segment) => segment.startLevel !== segment.endLevel && segment.from < to && segment.to > from,
  );
}

function finding(
  criterion: Criterion,
  metric: Metric,
  of: string,
  evidence: Evidenced,
  setup: JudgeSetup,
): Finding {
  const { rule, coverageFactor } = setup;
  const show = (value: number): string => formatQuantity(value, metric.dimension, metric.shown);
  const limits = limitsFor(criterion.limits, setup.lamp, of, show);
  const common = {
    metric: metric.id,
    title: metric.title,
    of,
    unit: metric.unit,
    shown: metric.shown,
    source: metric.source,
    during: criterion.during ?? null,
    rule,
  };
  if ('missing' in limits) return withoutTarget(common, criterion, limits.missing);
  const observation = observe(criterion, of, evidence);
  const settled = settledBy(limits);
  const assessed = assess(metric, observation, evidence.calibration, coverageFactor, settled);
  const shared = {
    ...common,
    limits: { ...limits },
    captures: assessed.captures.filter((capture) => !capture.startsWith('colour')),
  };
  if (!('expanded' in assessed)) {
    const { outcome } = assessed;
    const { measured, reason, ...facts } = outcome;
    return {
      ...shared,
      outcome: { measured, reason, ...facts },
      uncertainty: null,
      verdict: verdictOfUnmeasurable(reason),
      reason: explainNotMeasurable(outcome),
      evidence: { charts: [], notes: {} },
    };
  }
  const { outcome, expanded, contributions } = assessed;
  const judged = judge(outcome.value, expanded, limits, rule);
  return {
    ...shared,
    outcome: { measured: true, value: outcome.value },
    uncertainty: { expanded, coverageFactor, contributions: [...contributions] },
    verdict: judged.verdict,
    reason:
      judged.verdict === 'pass'
        ? null
        : inWords(metric, outcome.value, expanded, limits, judged.reason ?? ''),
    evidence: {
      charts: roundedCharts(outcome.evidence.charts),
      notes: outcome.evidence.notes,
    } as Finding['evidence'],
  };
}

function withoutTarget(
  common: Pick<
    Finding,
    'metric' | 'title' | 'of' | 'unit' | 'shown' | 'source' | 'during' | 'rule'
  >,
  criterion: Criterion,
  missing: string,
): Finding {
  return {
    ...common,
    limits: { lower: null, upper: null, target: null, text: criterion.limits.text },
    outcome: { measured: false, reason: 'no-reference', note: missing },
    uncertainty: null,
    captures: [],
    verdict: 'not run',
    reason: missing,
    evidence: { charts: [], notes: {} },
  };
}

function observe(criterion: Criterion, of: string, evidence: Evidenced): Observation {
  const { commanded, colour, frames } = evidence;
  const nowhere = { from: 0, to: 0 };
  const reference = criterion.reference
    ? { reference: markWindow(commanded, criterion.reference) ?? nowhere }
    : {};
  return {
    of,
    window: markWindow(commanded, criterion.during) ?? nowhere,
    ...reference,
    records: criterion.signal
      ? evidence.records.filter(({ signal }) => signal === criterion.signal)
      : evidence.records,
    colour,
    frames,
    commanded,
    parameters: criterion.parameters,
  };
}

function inWords(
  metric: Metric,
  value: number,
  expanded: number,
  limits: Limits,
  why: string,
): string {
  const found = formatMeasured(value, expanded, metric.unit, metric.shown);
  return `${metric.title} is ${found}, wanted ${limits.text}: ${why}`;
}
