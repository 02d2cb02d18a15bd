import { sweepChart } from '../../charts/level-charts.ts';
import { sweepIn } from '../../features/level/sweep.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Dynamic range: the brightest over the dimmest steady light of the levels above zero that were commanded.
 * Inputs: light (lx) or LED current (A) over at least two steady levels above zero. Output: number >= 1; 1000 for 0.1 %.
 * Not measurable: fewer levels, no sound samples; a commanded level without light (dark: a lamp that goes out has no range
 * that far down), or lost in the noise.
 * Fooled by: the zero of the input and stray light at the dim end, which are the whole of the figure there; a range
 * that is switched between the two levels.
 * Source: common practice, no source.
 */
export const dynamicRange: Metric = {
  id: 'dynamic-range',
  title: 'Dynamic range of the light',
  family: 'level',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: levelNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const sweep = sweepIn(observation, 2);
    if (!isMeasurable(sweep)) return sweep;
    const { plateaus } = sweep;
    const brightest = plateaus.reduce((one, two) => (two.level > one.level ? two : one));
    const dimmest = plateaus.reduce((one, two) => (two.level < one.level ? two : one));
    const range = brightest.level / dimmest.level;
    const relative = Math.hypot(
      brightest.standard / brightest.level,
      dimmest.standard / dimmest.level,
    );
    const notes = { brightest: brightest.level, dimmest: dimmest.level, at: dimmest.from };
    const charts = [sweepChart(plateaus, 'Sweep')];
    return measured(range, evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter of the plateaus', standard: range * relative, isNoise: true },
    ]);
  },
};
