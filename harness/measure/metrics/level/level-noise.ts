import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { averagesChart } from '../../charts/level-charts.ts';
import { averagesIn, smoothingParameter } from '../../features/level/averages.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** Relative standard uncertainty of the square of the sensor's white noise: 5 % of the noise (simulated). */
const unsure = 0.1;

/**
 * Noise of a steady level: rms scatter of the averages over `smoothing` about their mean, relative to it, with the
 * white noise of the sensor taken off in squares.
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: ratio >= 0.
 * Floor: what may go on within one code.
 * Not measurable: too short, dark, no sound samples.
 * Fooled by: noise of the sensor beyond what was stated, hum of the bench; dither faster than `smoothing`, which is
 * averaged away.
 * Source: common practice, no source.
 */
export const levelNoise: Metric = {
  id: 'level-noise',
  title: 'Noise of a steady level',
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
    const { values, mean, noise } = averages;
    const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
    const own = square - noise ** 2;
    const scatter = Math.sqrt(Math.max(0, own)) / mean;
    // Of n half-overlapping averages about n / 1.6 are independent; their mean square is known to sqrt(2 / n).
    const spread = Math.hypot(square * Math.sqrt((2 * 1.6) / values.length), noise ** 2 * unsure);
    const notes = { mean, averages: values.length, 'sensor-noise': noise / mean };
    const charts = [averagesChart(averages, 'Steady level')];
    const contributions = [
      {
        name: 'number of averages',
        standard: rootStandard(Math.max(0, own), spread) / mean,
        isNoise: true,
      },
    ];
    // Within a code the light may swing by half of it either way.
    const hidden = hiddenByCodes(averages.waveform) / 2 / mean;
    return measured(scatter, evidence ? { charts, notes } : noEvidence, contributions, hidden);
  },
};

/**
 * Standard uncertainty of the root of a square that is known to `standard`. At 0 the root has no slope to go by, so it
 * is followed to twice that, the farther way, and halved.
 */
function rootStandard(square: number, standard: number): number {
  const root = Math.sqrt(square);
  const up = Math.sqrt(square + 2 * standard) - root;
  const down = root - Math.sqrt(Math.max(0, square - 2 * standard));
  return Math.max(up, down) / 2;
}
