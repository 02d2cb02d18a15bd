import type { Metric } from '../metric.ts';
import { currentNeed } from './current-need.ts';
import { edgeOutcome } from './edge-outcome.ts';

/**
 * Time that the falling edges of the LED current take between 10 % and 90 % of the step, median over the edges.
 * Inputs: LED current (A), at least two samples on an edge. Output: s.
 * Not measurable: no two levels, no such edge, edges within a sample or two (the rate needed is said).
 * Source: IEEE 181 (transition duration; from memory).
 */
export const fallTime: Metric = {
  id: 'fall-time',
  title: 'Fall time of the LED current, 10-90 %',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'ns',
  needs: currentNeed,
  parameters: [],
  source: 'ieee-181',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return edgeOutcome(observation, options, false);
  },
};
