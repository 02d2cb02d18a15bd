import { sweepChart } from '../../charts/level-charts.ts';
import { plateausIn } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { neighbours } from '../../signal/pairs.ts';

/**
 * Largest relative step of light between neighbouring plateaus of a sweep: |brighter / darker - 1|. On the standard's
 * logarithmic curve one code is 2.768 %.
 * Inputs: light (lx) or LED current (A) over at least two steady levels. Output: ratio.
 * Not measurable: fewer plateaus, a dark one (a step from nothing has no size), no sound samples.
 * Fooled by: a sweep that skips codes, whose steps are larger than the lamp's; levels that are held too briefly to
 * settle.
 * Source: IEC 62386-102 (one step is 10^(3/253)).
 */
export const stepSize: Metric = {
  id: 'step-size',
  title: 'Largest step between neighbouring levels',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: levelNeed,
  parameters: [],
  source: 'iec-62386-102',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const all = plateausIn(observation);
    if (!isMeasurable(all)) return all;
    // Before power-on or a first command the lamp is dark, and that is no level of the sweep.
    const plateaus = all.filter(({ commanded }) => commanded > 0);
    if (plateaus.length < 2) {
      const facts = { found: plateaus.length, needed: 2, unit: '1', note: 'steady levels' };
      return notMeasurable('out-of-domain', facts);
    }
    let worst = { step: -1, at: 0, standard: 0 };
    for (const [one, two] of neighbours(plateaus)) {
      const darker = Math.min(one.level, two.level);
      if (darker <= 0) return notMeasurable('dark', { note: 'one of the levels gives no light' });
      const step = Math.max(one.level, two.level) / darker - 1;
      const standard = (1 + step) * Math.hypot(one.standard / one.level, two.standard / two.level);
      if (step > worst.step) worst = { step, at: two.from, standard };
    }
    const charts = [sweepChart(plateaus, 'Sweep')];
    const notes = { plateaus: plateaus.length, at: worst.at };
    return measured(worst.step, evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter of the plateaus', standard: worst.standard, isNoise: true },
    ]);
  },
};
