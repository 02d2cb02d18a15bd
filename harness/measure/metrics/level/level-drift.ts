import { averagesChart } from '../../charts/level-charts.ts';
import { averagesIn, driftOf, smoothingParameter } from '../../features/level/averages.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Drift of a steady level over the window: change along the least-squares straight line from the window's start to
 * its end, relative to the mean, without its sign (the notes have it).
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: ratio >= 0.
 * Not measurable: too short, dark, no sound samples.
 * Source: common practice, no source.
 */
export const levelDrift: Metric = {
  id: 'level-drift',
  title: 'Drift of a steady level',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: levelNeed,
  parameters: [smoothingParameter(0.05)],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const averages = averagesIn(observation);
    if (!isMeasurable(averages)) return averages;
    const { change, standard } = driftOf(averages);
    const notes = { change, mean: averages.mean };
    const charts = [averagesChart(averages, 'Steady level')];
    return measured(Math.abs(change), evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter about the line', standard, isNoise: true },
    ]);
  },
};
