import { currentNeed } from '../../features/current/current-need.ts';
import type { Metric } from '../../metric.ts';
import { cycleOutcome } from './switching.ts';

/**
 * Switching frequency of the output stage while the modulator is on.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: Hz.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const switchingFrequency: Metric = {
  id: 'switching-frequency',
  title: 'Switching frequency',
  family: 'current',
  unit: 'Hz',
  dimension: 'frequency',
  shown: 'kHz',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [
      cycles.frequency,
      cycles.standardFrequency,
    ]);
  },
};
