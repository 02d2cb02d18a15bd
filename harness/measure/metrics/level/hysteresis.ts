import { sweepChart } from '../../charts/level-charts.ts';
import { type Plateau, plateausIn } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Hysteresis: largest relative difference between the light at one commanded level reached from below and from above.
 * Inputs: light (lx) or LED current (A) over a sweep up and down (or down and up) through the same steady levels.
 * Output: ratio >= 0.
 * Not measurable: no level reached from both sides, dark, no sound samples.
 * Fooled by: warming up or drifting between the way up and the way down; levels that are held too briefly to settle.
 * Source: common practice, no source.
 */
export const hysteresis: Metric = {
  id: 'hysteresis',
  title: 'Difference between levels reached from below and from above',
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
    const pairs = pairsOf(plateaus);
    if (pairs.length === 0) {
      return notMeasurable('out-of-domain', {
        note: 'no level is reached from below and from above',
      });
    }
    let worst = { difference: 0, at: 0, standard: 0 };
    for (const { up, down } of pairs) {
      const mean = (up.level + down.level) / 2;
      if (!(mean > 0)) return notMeasurable('dark', { note: 'a commanded level gives no light' });
      const difference = Math.abs(up.level - down.level) / mean;
      const standard = Math.hypot(up.standard, down.standard) / mean;
      if (difference >= worst.difference) worst = { difference, at: up.commanded, standard };
    }
    const notes = { pairs: pairs.length, 'at-level': worst.at };
    const charts = [sweepChart(plateaus, 'Sweep up and down')];
    return measured(worst.difference, evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter of the plateaus', standard: worst.standard, isNoise: true },
    ]);
  },
};

/** Commanded levels closer than this are the same. */
const same = 1e-9;

function pairsOf(plateaus: readonly Plateau[]) {
  const ups: Plateau[] = [];
  const downs: Plateau[] = [];
  plateaus.forEach((plateau, index) => {
    const before = plateaus[index - 1];
    if (!before || plateau.commanded <= 0) return;
    (plateau.commanded > before.commanded ? ups : downs).push(plateau);
  });
  return ups.flatMap((up) => {
    const down = downs.find(({ commanded }) => Math.abs(commanded / up.commanded - 1) < same);
    return down ? [{ up, down }] : [];
  });
}
