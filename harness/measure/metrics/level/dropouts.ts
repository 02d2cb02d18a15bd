import { averagesChart } from '../../charts/level-charts.ts';
import {
  type Averages,
  averagesIn,
  dropoutsOf,
  smoothingParameter,
} from '../../features/level/averages.ts';
import { darkRuns } from '../../features/level/dark-runs.ts';
import type { Metric } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/** A depth is seen when it is this many times the scatter that sensor noise gives an average. */
const certainty = 5;

/**
 * Number of dropouts of a steady level: stretches in which the light stays below `depth` of the mean, be it averaged over
 * `smoothing` or sample by sample. Short ones count down to a few samples; a mean over those that are few enough stands
 * clear of the noise. The gaps between a modulator's pulses, which come more than once in `smoothing`, do not count.
 * Inputs: light (lx) or LED current (A), at least 5.5 smoothings. Output: number, 0 for none.
 * Not measurable: too short, dark, noise that hides a dropout of that depth.
 * Fooled by: a dropout as regular as the modulator; one that is less deep than `depth`; a relay or a plug of the bench,
 * whose dropouts are none of the lamp's.
 * Source: common practice, no source.
 */
export const dropouts: Metric = {
  id: 'dropouts',
  title: 'Dropouts of a steady level',
  family: 'level',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: lightNeed,
  parameters: [
    smoothingParameter(0.02),
    {
      name: 'depth',
      kind: 'ratio',
      default: 0.5,
      about: 'part of the mean level below which the light has dropped out',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const averages = averagesIn(observation);
    if (!isMeasurable(averages)) return averages;
    const depth = Number(observation.parameters['depth'] ?? 0.5);
    const { mean, noise } = averages;
    const needed = (certainty * noise) / mean;
    if (needed > 1 - depth) {
      return notMeasurable('below-noise', {
        found: 1 - depth,
        needed,
        unit: '1',
        note: 'depth of a dropout',
      });
    }
    const starts = allStarts(averages, depth);
    const charts = [averagesChart(averages, 'Steady level')];
    const [first] = starts;
    const notes = { mean, ...(first !== undefined && { first }) };
    return measured(starts.length, evidence ? { charts, notes } : noEvidence);
  },
};

/** Starts of the dropouts that the averages show and of those that the samples show, each once. */
function allStarts(averages: Averages, depth: number): readonly number[] {
  const { waveform, mean, width } = averages;
  const short = darkRuns(waveform, { mean, level: depth * mean }, width);
  const slow = dropoutsOf(averages, depth).filter(
    (at) => !short.some(({ from, to }) => from < at + width && to > at - width),
  );
  return [...short.map(({ from }) => from), ...slow].sort((a, b) => a - b);
}
