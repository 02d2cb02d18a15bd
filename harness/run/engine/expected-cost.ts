import type { Metric } from '../../measure/metric.ts';
import { findMetric } from '../../measure/metrics.ts';
import { planCaptures } from '../../plan/captures/plan-captures.ts';
import type { Criterion } from '../../plan/plan.ts';
import { markWindow, schedule } from '../../plan/schedule.ts';
import type { ConditionTask } from './lane.ts';

/**
 * Seconds that a condition will take on the simulated lamp, roughly, on a processor of 2026. Nobody knows how fast a computer
 * is before its first conditions have ended; then only the ratios of these figures count. Fitted to two runs of all claims
 * on the Alcove-6 (2026-11-30): single conditions are met within a factor of three, sums of many within a fifth.
 */
export function simulatedCost({
  condition,
  lamp,
}: Pick<ConditionTask, 'condition' | 'lamp'>): number {
  const { duration, marks } = schedule(condition.stimulus, lamp);
  const windowOf = (name: string | undefined): number => {
    const { from, to } = markWindow({ marks, duration }, name) ?? { from: 0, to: 0 };
    return to - from;
  };
  const subjectsOf = (of: string): number => (of === 'each-channel' ? lamp.channels.length : 1);
  const recorded = condition.captures.reduce((sum, { of, during, ...capture }) => {
    const rate = 'rate' in capture ? capture.rate : 0;
    return sum + rate * windowOf(during) * subjectsOf(of);
  }, 0);
  const rates = condition.captures.map((capture) => ('rate' in capture ? capture.rate : 0));
  const rate = Math.max(0, ...rates);
  const judging = condition.criteria.map((criterion) => {
    const subjects = criterion.of === 'light' ? 1 : lamp.channels.length;
    const samples = rate * windowOf(criterion.during) * subjects;
    return costOfSample(criterion) * Math.min(recorded, samples);
  });
  return (
    costs.condition +
    costs.recorded * recorded +
    costs.lampSecond * Math.min(duration, mostLampTime) +
    judging.reduce((sum, cost) => sum + cost, 0)
  );
}

/** A lamp that stands still for weeks is not simulated throughout, s. */
const mostLampTime = 3000;

/** s: of any condition, of a second of lamp time, of a sample that is recorded. */
const costs = { condition: 0.033, lampSecond: 1.3e-4, recorded: 6e-8 } as const;

/** s, of a sample that a metric of the family judges, with all that its uncertainty takes. */
const judged: Readonly<Record<Metric['family'], number>> = {
  level: 4e-8,
  mains: 4e-8,
  fade: 1.4e-7,
  control: 1.7e-7,
  colour: 4.4e-7,
  flicker: 4.8e-7,
  current: 5e-7,
  camera: 9.5e-7,
};
/** s, of a sample that is held against a model of the lamp. */
const modelled = 7.7e-7;

function costOfSample({ metric }: Criterion): number {
  const known = findMetric(metric);
  if (!known) return 0;
  return known.needs.model ? modelled : judged[known.family];
}

/** Seconds that a condition takes on a rig: its lamp time, once a pass, and a moment to ask the instruments each time. */
export function rigCost({
  condition,
  lamp,
  rig,
}: Pick<ConditionTask, 'condition' | 'lamp' | 'rig'>): number {
  const { duration } = schedule(condition.stimulus, lamp);
  return (duration + betweenPasses) * planCaptures(condition, { lamp, rig }).passes.length;
}

/** s */
const betweenPasses = 1;
