import { currentNeed } from '../../features/current/current-need.ts';
import type { Metric } from '../../metric.ts';
import { cycleOutcome } from './switching.ts';

/**
 * Peak-to-peak ripple of the LED current while the modulator is on, mean over the switching cycles.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: A.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const rippleCurrent: Metric = {
  id: 'ripple-current',
  title: 'Ripple of the LED current, peak to peak',
  family: 'current',
  unit: 'A',
  dimension: 'current',
  shown: 'mA',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['time-base', 'offset'],
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [cycles.ripple, cycles.standardRipple]);
  },
};
