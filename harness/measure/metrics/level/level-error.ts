import { commandedLevelChart } from '../../charts/held-level-chart.ts';
import { lightness } from '../../colorimetry/lightness.ts';
import { meanDoubt } from '../../features/level/mean-level.ts';
import { relativeLevel } from '../../features/level/relative-level.ts';
import type { Metric } from '../../metric.ts';
import { relativeLevelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { commandedMean } from '../../subject/commanded-light.ts';

/**
 * Deviation of the relative level from the commanded one: (measured ratio) / (commanded ratio) - 1, both relative to
 * the reference window. The command is the dim level on the dimming curve times the channel's intensity.
 * Inputs: light (lx) or LED current (A). Output: ratio, 0.05 for 5 % too bright.
 * Not measurable: no or dark reference, nothing commanded in one of the windows, no sound samples.
 * Fooled by: the zero of the input and stray light at the dim end; a lamp that warms up between the windows; a dimming
 * curve in the lamp file that is not the lamp's.
 * Source: IEC 62386-102 (the curve is a straight line in log light); deviation as such is common practice, no source.
 */
export const levelError: Metric = {
  id: 'level-error',
  title: 'Deviation from the dimming curve',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: relativeLevelNeed,
  parameters: [],
  source: 'iec-62386-102',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  averages: true,
  compute(observation, { evidence = true } = {}) {
    const level = relativeLevel(observation);
    if (!isMeasurable(level)) return level;
    const { window, reference } = observation;
    const full = reference ? commandedMean(observation, reference) : 0;
    if (full <= 0) return notMeasurable('no-reference', { note: 'dark is commanded there' });
    const commanded = commandedMean(observation, window) / full;
    if (commanded <= 0) return notMeasurable('dark', { note: 'no light is commanded' });
    const notes = { 'level-ratio': level.ratio, 'commanded-ratio': commanded };
    const shown = evidence
      ? { charts: commandedLevelChart(observation, level), notes }
      : noEvidence;
    const doubt = { standard: level.standard / commanded, edges: level.edges / commanded };
    return measured(level.ratio / commanded - 1, shown, meanDoubt(doubt));
  },
};

/**
 * Deviation from the dimming curve as CIE 1976 lightness: L* of the measured relative level minus L* of the commanded
 * one, with the reference window as white (its commanded level is taken into account).
 * Inputs: light (lx) or LED current (A). Output: ΔL*, positive when too bright.
 * Not measurable: no or dark reference, no sound samples.
 * Fooled by: as for level-error. At the dim end a large relative deviation is a small ΔL*.
 * Source: CIE 15 8.2.1; its use for dimming is a convention, not a CIE recommendation.
 */
export const levelErrorLightness: Metric = {
  id: 'level-error-lightness',
  title: 'Deviation from the dimming curve, ΔL*',
  family: 'level',
  unit: 'L*',
  dimension: 'lightness',
  shown: 'L*',
  needs: relativeLevelNeed,
  parameters: [],
  source: 'cie-15',
  blindTo: ['scale', 'time-base'],
  statesNoise: true,
  averages: true,
  compute(observation, { evidence = true } = {}) {
    const level = relativeLevel(observation);
    if (!isMeasurable(level)) return level;
    const { window, reference } = observation;
    const full = reference ? commandedMean(observation, reference) : 0;
    if (full <= 0) return notMeasurable('no-reference', { note: 'dark is commanded there' });
    const commanded = commandedMean(observation, window);
    const found = level.ratio * full;
    const slope = (lightness(found + 1e-6) - lightness(found)) / 1e-6;
    const notes = { 'level-ratio': level.ratio, 'commanded-ratio': commanded / full };
    const scale = slope * full;
    const doubt = { standard: scale * level.standard, edges: scale * level.edges };
    const shown = evidence
      ? { charts: commandedLevelChart(observation, level), notes }
      : noEvidence;
    return measured(lightness(found) - lightness(commanded), shown, meanDoubt(doubt));
  },
};
