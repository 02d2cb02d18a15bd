import type { Metric } from '../metric.ts';
import { isRecord } from '../observe.ts';
import { measured, noEvidence } from '../outcome.ts';
import { averagesIn, smoothingParameter, steadyNeed } from './averages.ts';
import { averagesChart } from './averages-chart.ts';

/**
 * Noise of a steady level: rms scatter of the averages over `smoothing` about their mean, relative to it, with the
 * white noise of the sensor taken off in squares.
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: ratio >= 0.
 * Not measurable: too short, dark, no sound samples.
 * Source: common practice, no source.
 */
export const levelNoise: Metric = {
  id: 'level-noise',
  title: 'Noise of a steady level',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: steadyNeed,
  parameters: [smoothingParameter(0.05)],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const averages = averagesIn(observation);
    if (!isRecord(averages)) return averages;
    const { values, mean, noise } = averages;
    const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
    const scatter = Math.sqrt(Math.max(0, square - noise ** 2)) / mean;
    // Of n half-overlapping averages about n / 1.6 are independent; a scatter is known to 1 / sqrt(2 n).
    const seen = Math.sqrt(square) / mean;
    const standard = seen / Math.sqrt((2 * values.length) / 1.6);
    const notes = { mean, averages: values.length, 'sensor-noise': noise / mean };
    const charts = [averagesChart(averages, 'Steady level')];
    return measured(scatter, evidence ? { charts, notes } : noEvidence, [
      { name: 'number of averages', standard },
    ]);
  },
};
