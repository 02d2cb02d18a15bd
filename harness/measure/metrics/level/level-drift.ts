import { hiddenByCodes } from '../../analysis/hidden-by-codes.ts';
import { averagesChart } from '../../charts/level-charts.ts';
import { averagesIn, driftOf, smoothingParameter } from '../../features/level/averages.ts';
import { largestChange } from '../../features/level/largest-change.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Drift of a steady level over the window, relative to the mean, without its sign (the notes have it): the largest change
 * between averaged stretches, of any length from one average to a fifth of the window, less what their noise alone makes; or
 * the change along the least-squares line, where that is larger and the stretches bear it out.
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: ratio >= 0.
 * Floor: the drift that may pass within one code.
 * Not measurable: too short, dark, no sound samples.
 * Fooled by: drift of the sensor or of the room's temperature; a window shorter than what the lamp takes to settle.
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
    const line = driftOf(averages);
    const stretches = largestChange(averages);
    // A line says more than a step or a curve changes, or less; between a noisy record's stretches it is surer.
    const straight = Math.min(Math.abs(line.change), stretches.most);
    const value = Math.max(straight, stretches.sure);
    const notes = { change: Math.sign(line.change) * value, mean: averages.mean };
    const charts = [averagesChart(averages, 'Steady level')];
    const noise = straight === value ? Math.min(line.standard, stretches.most) : stretches.noise;
    const hidden = hiddenByCodes(averages.waveform) / averages.mean;
    const contributions = [
      { name: 'noise of the stretches', standard: noise, isNoise: true },
      { name: 'before the first average and after the last', standard: 0.55 * stretches.ends },
      // Of a difference of two averages: a triangle (JCGM 100:2008 4.3.9, clause from memory).
      { name: 'rounding of the stretches', standard: hidden / Math.sqrt(6), isNoise: true },
    ];
    return measured(value, evidence ? { charts, notes } : noEvidence, contributions, hidden);
  },
};
