import { levelNeed, relativeLevel } from '../../features/level/relative-level.ts';
import type { Metric } from '../../metric.ts';
import { isRecord } from '../../observe.ts';
import { measured } from '../../outcome.ts';

/**
 * Level in the window relative to the reference window, whatever was commanded in between: what a lamp keeps over an
 * event that it was not told how to answer.
 * Inputs: light (lx) or LED current (A). Output: ratio, 1 for the same light, 0 for dark.
 * Not measurable: no or dark reference, no sound samples.
 */
export function keptLevel(id: string, title: string, source: string): Metric {
  return {
    id,
    title,
    family: 'control',
    unit: '1',
    dimension: 'ratio',
    shown: '%',
    needs: levelNeed,
    parameters: [],
    source,
    blindTo: ['scale', 'time-base'],
    statesNoise: true,
    compute(observation) {
      const level = relativeLevel(observation);
      if (!isRecord(level)) return level;
      const { ratio, standard, level: mean, reference } = level;
      return measured(ratio, { charts: [], notes: { mean, reference } }, [
        { name: 'scatter within the windows', standard },
      ]);
    },
  };
}
