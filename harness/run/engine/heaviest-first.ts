import { schedule } from '../../plan/schedule.ts';
import type { ConditionTask } from './lane.ts';

/**
 * Jobs for several lanes, those that take longest first: a long one begun last would keep one lane busy while the
 * others have nothing to do. The order of equals stays.
 */
export function heaviestFirst<Job extends { readonly task: ConditionTask }>(
  jobs: readonly Job[],
): Job[] {
  return jobs
    .map((job) => ({ job, weight: weightOf(job.task) }))
    .sort((a, b) => b.weight - a.weight)
    .map(({ job }) => job);
}

/** Samples that a second of lamp time stands for besides those of its records: the lamp has to be simulated. */
const samplesOfSecond = 1000;

/** Samples to be taken and judged, roughly: what a condition costs goes with them. */
function weightOf({ condition, lamp }: ConditionTask): number {
  const { duration } = schedule(condition.stimulus, lamp);
  const rates = condition.captures.map((capture) => {
    const rate = 'rate' in capture ? capture.rate : 0;
    return rate * (capture.of === 'each-channel' ? lamp.channels.length : 1);
  });
  return duration * rates.reduce((sum, rate) => sum + rate, samplesOfSecond);
}
