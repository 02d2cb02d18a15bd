import { sweepChart } from '../../charts/level-charts.ts';
import {
  averagesIn,
  driftOf,
  dropoutsOf,
  smoothingParameter,
} from '../../features/level/averages.ts';
import { darkReference } from '../../features/level/dark-reference.ts';
import { meanLevel } from '../../features/level/mean-level.ts';
import { type Plateau, plateausIn, settlingPart } from '../../features/level/plateaus.ts';
import type { Metric } from '../../metric.ts';
import { levelNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import {
  isMeasurable,
  measured,
  type NotMeasurable,
  noEvidence,
  notMeasurable,
} from '../../outcome.ts';

/**
 * Lowest stable level: of the plateaus of a sweep, the darkest measured one that is stable, with all brighter ones
 * stable too; relative to the reference window, or to the brightest plateau without one. Stable: noise and drift
 * (as level-noise and level-drift have them) within their parameters, and no dropout to half the level.
 * Inputs: light (lx) or LED current (A) over steady levels, each at least ten smoothings long. Output: ratio.
 * Not measurable: no plateau, not one that is stable, noise of the sensor above `noise`, no sound samples.
 * Fooled by: a noisy input, on which no dim level is stable; plateaus that are too few or too short; levels between the
 * plateaus, of which it knows nothing.
 * Source: common practice, no source.
 */
export const lowestStableLevel: Metric = {
  id: 'lowest-stable-level',
  title: 'Lowest stable level',
  family: 'level',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: levelNeed,
  parameters: [
    smoothingParameter(0.05),
    {
      name: 'noise',
      kind: 'ratio',
      default: 0.02,
      about: 'largest relative rms noise of a stable level',
    },
    {
      name: 'drift',
      kind: 'ratio',
      default: 0.05,
      about: 'largest relative drift over the plateau',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const plateaus = plateausIn(observation);
    if (!isMeasurable(plateaus)) return plateaus;
    const lit = plateaus
      .filter(({ commanded }) => commanded > 0)
      .toSorted((a, b) => b.commanded - a.commanded);
    const [brightest] = lit;
    if (!brightest)
      return notMeasurable('out-of-domain', { note: 'no steady level in the window' });
    const full = fullLevel(observation, brightest);
    if (!isMeasurable(full)) return full;
    let lowest: Plateau | null = null;
    let failing = 'none';
    for (const plateau of lit) {
      const unstable = instability(observation, plateau);
      if (typeof unstable !== 'string') return unstable;
      if (unstable !== '') {
        failing = unstable;
        break;
      }
      lowest = plateau;
    }
    if (!lowest)
      return notMeasurable('no-plateau', { note: `the brightest level is not stable: ${failing}` });
    const notes = { 'first-instability': failing, 'commanded-level': lowest.commanded };
    const charts = [sweepChart(plateaus, 'Levels')];
    return measured(lowest.level / full.value, evidence ? { charts, notes } : noEvidence, [
      { name: 'scatter of the plateau', standard: lowest.standard / full.value, isNoise: true },
    ]);
  },
};

function fullLevel(
  observation: Observation,
  brightest: Plateau,
): { readonly value: number } | NotMeasurable {
  const { reference } = observation;
  const full = reference
    ? meanLevel(observation, levelNeed, reference)
    : { value: brightest.level, standard: brightest.standard };
  if (!isMeasurable(full)) return full;
  if (full.value > 0) return full;
  const there = reference ?? { from: brightest.from, to: brightest.to };
  return darkReference(observation, there, 'no light at full level');
}

/** What is unstable about a plateau, in words; empty when nothing is. */
function instability(observation: Observation, { from, to }: Plateau): string | NotMeasurable {
  const window = { from: from + settlingPart * (to - from), to };
  const averages = averagesIn({ ...observation, window });
  if (!isMeasurable(averages)) {
    return averages.reason === 'dark' ? 'dark' : averages;
  }
  const { values, mean, noise } = averages;
  const limit = Number(observation.parameters['noise'] ?? 0.02);
  if (noise / mean > limit) {
    return notMeasurable('below-noise', {
      found: limit,
      needed: noise / mean,
      unit: '1',
      note: 'noise of the sensor',
    });
  }
  const square = values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length;
  if (dropoutsOf(averages, 0.5).length > 0) return 'dropout';
  if (Math.sqrt(Math.max(0, square - noise ** 2)) / mean > limit) return 'noise';
  const drift = Math.abs(driftOf(averages).change);
  return drift > Number(observation.parameters['drift'] ?? 0.05) ? 'drift' : '';
}
