import { sweepChart } from '../../charts/level-charts.ts';
import { type Plateau, plateausIn } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { neighbours } from '../../signal/pairs.ts';

/**
 * Monotonicity: the worst step backwards between neighbouring plateaus of a sweep, as relative light. Where the
 * command rises and the light falls (or the other way round), the step is the change relative to the brighter of the
 * two; 0 where the light never goes backwards.
 * Inputs: light (lx) or LED current (A) over at least three steady levels. Output: ratio >= 0.
 * Not measurable: fewer plateaus, no sound samples, all dark.
 * Fooled by: drift over the sweep; levels that are held too briefly to settle; dips between the levels that were tried.
 * Source: common practice, no source.
 */
export const monotonicity: Metric = {
  id: 'monotonicity',
  title: 'Worst step backwards over a sweep',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: levelNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const plateaus = plateausIn(observation);
    if (!isMeasurable(plateaus)) return plateaus;
    if (plateaus.length < 3) {
      const facts = { found: plateaus.length, needed: 3, unit: '1', note: 'steady levels' };
      return notMeasurable('out-of-domain', facts);
    }
    if (plateaus.every(({ level }) => level <= 0)) return notMeasurable('dark');
    const worst = neighbours(plateaus)
      .map(([one, two]) => backwards(one, two))
      .reduce((one, two) => (two.step >= one.step ? two : one));
    const notes = { plateaus: plateaus.length, at: worst.at };
    const charts = [sweepChart(plateaus, 'Sweep')];
    return measured(worst.step, evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter of the plateaus', standard: worst.standard, isNoise: true },
    ]);
  },
};

function backwards(one: Plateau, two: Plateau) {
  const asked = Math.sign(two.commanded - one.commanded);
  const brighter = Math.max(one.level, two.level);
  const step = brighter > 0 ? Math.max(0, (-asked * (two.level - one.level)) / brighter) : 0;
  const standard = brighter > 0 ? Math.hypot(one.standard, two.standard) / brighter : 0;
  return { step, at: two.from, standard };
}
