import { averagesChart } from '../../charts/level-charts.ts';
import { averagesIn, dropoutsOf, smoothingParameter } from '../../features/level/averages.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/** A depth is seen when it is this many times the scatter that sensor noise gives an average. */
const certainty = 5;

/**
 * Number of dropouts of a steady level: stretches in which the light averaged over `smoothing` stays below `depth`
 * of the mean.
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: number, 0 for none.
 * Not measurable: too short, dark, noise that hides a dropout of that depth.
 * Source: common practice, no source.
 */
export const dropouts: Metric = {
  id: 'dropouts',
  title: 'Dropouts of a steady level',
  family: 'level',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: lightNeed,
  parameters: [
    smoothingParameter(0.02),
    {
      name: 'depth',
      kind: 'ratio',
      default: 0.5,
      about: 'part of the mean level below which the light has dropped out',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const averages = averagesIn(observation);
    if (!isMeasurable(averages)) return averages;
    const depth = Number(observation.parameters['depth'] ?? 0.5);
    const { mean, noise } = averages;
    const needed = (certainty * noise) / mean;
    if (needed > 1 - depth) {
      return notMeasurable('below-noise', {
        found: 1 - depth,
        needed,
        unit: '1',
        note: 'depth of a dropout',
      });
    }
    const starts = dropoutsOf(averages, depth);
    const charts = [averagesChart(averages, 'Steady level')];
    const [first] = starts;
    const notes = { mean, ...(first !== undefined && { first }) };
    return measured(starts.length, evidence ? { charts, notes } : noEvidence);
  },
};
