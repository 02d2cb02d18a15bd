import { averagesChart } from '../../charts/level-charts.ts';
import { type Averages, averagesIn, smoothingParameter } from '../../features/level/averages.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isRecord } from '../../observe.ts';
import { measured, noEvidence } from '../../outcome.ts';

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
  needs: lightNeed,
  parameters: [smoothingParameter(0.05)],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const averages = averagesIn(observation);
    if (!isRecord(averages)) return averages;
    const { change, standard } = driftOf(averages);
    const notes = { change, mean: averages.mean };
    const charts = [averagesChart(averages, 'Steady level')];
    return measured(Math.abs(change), evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter about the line', standard },
    ]);
  },
};

/** Change over the window and its standard uncertainty, relative to the mean. */
export function driftOf({ times, values, mean }: Averages) {
  const count = times.length;
  const middle = times.reduce((sum, at) => sum + at, 0) / count;
  const xx = times.reduce((sum, at) => sum + (at - middle) ** 2, 0);
  const slope =
    times.reduce((sum, at, index) => sum + (at - middle) * (values[index]! - mean), 0) / xx;
  const rest = times.reduce(
    (sum, at, index) => sum + (values[index]! - mean - slope * (at - middle)) ** 2,
    0,
  );
  const span = times.at(-1)! - times[0]!;
  // Half-overlapping averages: 1.6 times the variance of independent ones.
  const variance = (1.6 * rest) / Math.max(1, count - 2) / xx;
  return { change: (slope * span) / mean, standard: (Math.sqrt(variance) * span) / mean };
}
