import { heldLevelChart } from '../../charts/held-level-chart.ts';
import { meanDoubt } from '../../features/level/mean-level.ts';
import { relativeLevel } from '../../features/level/relative-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import { isMeasurable, measured } from '../../outcome.ts';

/**
 * Level in the window relative to the reference window, whatever was commanded in between: what a lamp keeps over an
 * event that it was not told how to answer.
 * Inputs: light (lx) or LED current (A). Output: ratio, 1 for the same light, 0 for dark.
 * Not measurable: no or dark reference, no sound samples.
 * Fooled by: a lamp that had not settled in either window; a short drop in between, which a mean over the window does
 * not show.
 */
function keptLevel(id: string, title: string, source: string): Metric {
  return {
    id,
    title,
    family: 'control',
    unit: '1',
    dimension: 'ratio',
    shown: '%',
    needs: relativeLevelNeed,
    parameters: [],
    source,
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
}

/**
 * Level after the control signal was lost, relative to the level before (the reference window): 1 where the lamp
 * holds, 0 where it goes off. Source: common practice, no source; which of the two is right is the lamp file's word.
 */
export const levelAfterLoss = keptLevel(
  'level-after-loss',
  'Level after loss of signal',
  'common-practice',
);

/**
 * Level after the lamp was switched on again or reset, relative to the level before (the reference window).
 * Source: IEC 62386-102 (power-on level MASK means the last level; confirmed).
 */
export const recallLevel = keptLevel(
  'recall-level',
  'Level recalled after a restart',
  'iec-62386-102',
);
