import { probeChart } from '../../charts/probe-chart.ts';
import { probeStretches, type Stretch } from '../../features/probe-stretches.ts';
import type { Metric } from '../../metric.ts';
import type { Observation, Window } from '../../observation.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** A variable may have changed by so much before it was told: a tick of the lamp's control, s. */
const tick = 1e-3;

/**
 * Highest, lowest or mean value of a variable that the firmware tells (`signal: probe`) in the window; the mean by the time that it had
 * each value.
 * Inputs: the variable, in the unit that the firmware gives it. Output: number in that unit.
 * Not measurable: a variable that the firmware never told, or only later; one that changed more often than can be kept.
 * Fooled by: what the firmware believes and does not do. The number is taken as it was told; its uncertainty is that of the instants
 * alone: a millisecond, what is not known of the commands' arrival, and on a rig 20 ms in which a change is heard.
 * Source: common practice, no source.
 */
function probeValue(
  id: string,
  title: string,
  read: (stretches: readonly Stretch[]) => number,
): Metric {
  return {
    id,
    title,
    family: 'control',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs: { signals: [], scope: 'one', probe: true },
    parameters: [],
    source: 'common-practice',
    compute(observation, { evidence = true } = {}) {
      const { window } = observation;
      const found = probeStretches(observation, window);
      if (!isMeasurable(found)) return found;
      const { track, stretches } = found;
      const value = read(stretches);
      const charts = () => [probeChart(track, stretches, window)];
      const notes = { unit: track.unit || 'none', changes: stretches.length - 1 };
      return measured(value, evidence ? { charts: charts(), notes } : noEvidence, [
        { name: 'instants of the window', standard: spread(observation, track.late ?? 0, read) },
      ]);
    },
  };
}

/** What the value moves by with either end of the window, as a rectangle: it lies anywhere between (JCGM 100:2008, 4.3.7). */
function spread(
  observation: Observation,
  late: number,
  read: (stretches: readonly Stretch[]) => number,
): number {
  const { window, commanded } = observation;
  const by = tick + late + Math.sqrt(3) * (commanded.standardInstant ?? 0);
  const values = [-by, 0, by].flatMap((early) =>
    [-by, 0, by].flatMap((late) => {
      const moved: Window = { from: window.from + early, to: window.to + late };
      const found = probeStretches(observation, moved);
      return isMeasurable(found) ? [read(found.stretches)] : [];
    }),
  );
  return (Math.max(...values) - Math.min(...values)) / 2 / Math.sqrt(3);
}

export const probeHighest = probeValue('probe-highest', 'Highest value of a probe', (stretches) =>
  stretches.reduce((most, { value }) => Math.max(most, value), Number.NEGATIVE_INFINITY),
);

export const probeLowest = probeValue('probe-lowest', 'Lowest value of a probe', (stretches) =>
  stretches.reduce((least, { value }) => Math.min(least, value), Number.POSITIVE_INFINITY),
);

export const probeMean = probeValue('probe-mean', 'Mean value of a probe', (stretches) => {
  const whole = stretches.reduce((sum, { from, to }) => sum + (to - from), 0);
  return stretches.reduce((sum, { from, to, value }) => sum + value * (to - from), 0) / whole;
});
