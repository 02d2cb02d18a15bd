import { heldLevelChart } from '../../charts/held-level-chart.ts';
import { meanDoubt } from '../../features/level/mean-level.ts';
import { relativeLevel } from '../../features/level/relative-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import { isMeasurable, measured } from '../../outcome.ts';

/**
 * Level relative to a reference: mean in the window / mean in the reference window.
 * Inputs: light (lx) or LED current (A). Output: ratio, 0.001 for 0.1 %.
 * Not measurable: no or dark reference, no sound samples.
 * Fooled by: the zero of the input and stray light at the dim end; a lamp that warms up between the windows.
 * Source: common practice, no source.
 */
export const levelRatio: Metric = {
  id: 'level-ratio',
  title: 'Level relative to the reference',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: relativeLevelNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  averages: true,
  compute(observation, { evidence = true } = {}) {
    const level = relativeLevel(observation);
    if (!isMeasurable(level)) return level;
    const { ratio, level: mean, reference } = level;
    const charts = evidence ? heldLevelChart(observation, level, 1) : [];
    return measured(ratio, { charts, notes: { mean, reference } }, meanDoubt(level));
  },
};
