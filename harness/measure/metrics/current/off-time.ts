import { currentNeed } from '../../features/current/current-need.ts';
import type { Metric } from '../../metric.ts';
import { cycleOutcome } from './switching.ts';

/**
 * Time in which the LED current falls in each switching cycle, mean over the cycles.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: s.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const offTime: Metric = {
  id: 'off-time',
  title: 'Off-time of the output stage',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'µs',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [cycles.offTime, cycles.standardOffTime]);
  },
};
