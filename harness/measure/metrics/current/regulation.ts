import { type MeanLevel, meanDoubt, meanLevel } from '../../features/level/mean-level.ts';
import type { Metric } from '../../metric.ts';
import { channelNeed } from '../../needs.ts';
import type { Observation, Window } from '../../observation.ts';
import { isMeasurable, measured, notMeasurable } from '../../outcome.ts';
import { neighbours } from '../../signal/pairs.ts';

/** Part of each stretch, from its start, in which the supply may still be moving. */
const settling = 0.3;

/**
 * Regulation: spread of the mean over stretches of one condition (at several supply voltages, say), highest minus
 * lowest, relative to their mean. The stretches are the window and its reference where the criterion names one;
 * otherwise the marks inside the window divide it. The first 30 % of each stretch does not count.
 * Inputs: LED current (A) or light (lx). Output: ratio >= 0.
 * Not measurable: fewer than two stretches, no current, no sound samples.
 * Fooled by: a lamp that warms up meanwhile; stretches in which the supply still moves after 30 %; the zero of the
 * probe, at low level.
 * Source: common practice, no source.
 */
export const regulation: Metric = {
  id: 'regulation',
  title: 'Regulation: spread of the mean over the supply',
  family: 'current',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: channelNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation) {
    const stretches = stretchesOf(observation);
    if (stretches.length < 2) {
      const facts = { found: stretches.length, needed: 2, unit: '1' };
      return notMeasurable('no-reference', { ...facts, note: 'stretches divided by marks' });
    }
    const means: MeanLevel[] = [];
    for (const { from, to } of stretches) {
      const mean = meanLevel(observation, channelNeed, { from: from + settling * (to - from), to });
      if (!isMeasurable(mean)) return mean;
      means.push(mean);
    }
    const values = means.map(({ value }) => value);
    const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
    if (!(mean > 0)) return notMeasurable('dark');
    const spread = (Math.max(...values) - Math.min(...values)) / mean;
    const notes = Object.fromEntries(
      values.map((value, index) => [`mean-${index + 1}`, value] as const),
    );
    const standard = Math.hypot(...means.map((one) => one.standard)) / mean;
    const edges = Math.hypot(...means.map((one) => one.edges)) / mean;
    const doubt = meanDoubt({ standard, edges }, 'scatter within the stretches');
    return measured(spread, { charts: [], notes }, doubt);
  },
};

function stretchesOf({ window, reference, commanded }: Observation): readonly Window[] {
  if (reference) return [reference, window];
  const inside = commanded.marks
    .map(({ at }) => at)
    .filter((at) => at > window.from + 1e-9 && at < window.to - 1e-9)
    .sort((a, b) => a - b);
  const cuts = [window.from, ...inside, window.to];
  return neighbours(cuts).map(([from, to]) => ({ from, to }));
}
