import { currentNeed } from '../../features/current/current-need.ts';
import type { Metric } from '../../metric.ts';
import { edgeOutcome } from './edge-time.ts';

/**
 * Time that the falling edges of the LED current take between 10 % and 90 % of the step, median over the edges.
 * What averaging over a sample adds to an edge is taken off; of an edge within a sample or two only the uncertainty
 * says how long it may be.
 * Inputs: LED current (A), with edges. Output: s.
 * Not measurable: no two levels, no such edge.
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
