import { sweepChart } from '../../charts/level-charts.ts';
import { type Plateau, plateausIn } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { neighbours } from '../../signal/pairs.ts';

/** A step that brings less than this part of the commanded change (both relative) brings nothing. */
const response = 0.25;

/**
 * Dead zone: the widest stretch of commanded levels over which the light does not follow, as upper level / lower
 * level - 1. A step between neighbouring plateaus counts as dead when the light changes by less than a quarter of
 * what is commanded (both as log ratios), or stays dark; neighbouring dead steps add up.
 * Inputs: light (lx) or LED current (A) over at least three steady levels above zero. Output: ratio, 0 for none.
 * Not measurable: fewer plateaus, no sound samples; steps smaller than twice the scatter of the plateaus.
 * Fooled by: levels that are held too briefly to settle; steps so fine that noise decides; a lamp with fewer codes than
 * the sweep has steps.
 * Source: common practice, no source.
 */
export const deadZone: Metric = {
  id: 'dead-zone',
  title: 'Widest range of levels without response',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: levelNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const all = plateausIn(observation);
    if (!isMeasurable(all)) return all;
    const plateaus = all.filter(({ commanded }) => commanded > 0);
    const [first] = plateaus;
    if (!first || plateaus.length < 3) {
      const facts = { found: plateaus.length, needed: 3, unit: '1', note: 'steady levels' };
      return notMeasurable('out-of-domain', facts);
    }
    let widest = 0;
    let at = first.from;
    let run = 0;
    for (const [one, two] of neighbours(plateaus)) {
      const asked = Math.log(two.commanded / one.commanded);
      if (asked === 0) continue;
      const hidden = unseen(one, two, Math.abs(asked));
      if (hidden) return hidden;
      run = isDead(one, two, asked)
        ? Math.sign(run) === -Math.sign(asked)
          ? asked
          : run + asked
        : 0;
      if (Math.abs(run) > widest) [widest, at] = [Math.abs(run), two.from];
    }
    const charts = [sweepChart(plateaus, 'Sweep')];
    const notes = { plateaus: plateaus.length, at };
    return measured(Math.expm1(widest), evidence ? { charts, notes } : noEvidence);
  },
};

function isDead(one: Plateau, two: Plateau, asked: number): boolean {
  // A lit and a dark plateau: the light does follow, though it does more than it was told.
  if (one.level <= one.standard && two.level <= two.standard) return true;
  if (one.level <= 0 || two.level <= 0) return false;
  return Math.log(two.level / one.level) / asked < response;
}

/** A step that drowns in the scatter cannot be called dead. */
function unseen(one: Plateau, two: Plateau, asked: number) {
  const level = Math.max(one.level, two.level);
  const scatter = level > 0 ? Math.hypot(one.standard, two.standard) / level : 0;
  if (level <= 0 || 2 * scatter < asked) return null;
  const facts = { found: asked, needed: 2 * scatter, unit: '1' };
  return notMeasurable('below-noise', { ...facts, note: 'step between two levels' });
}
