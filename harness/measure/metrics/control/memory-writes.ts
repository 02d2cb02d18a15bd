import type { Metric, Need } from '../../metric.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { sampleAt } from '../../signal/samples.ts';
import { pinPart, pinThreshold } from '../../subject/pin-part.ts';

const needs: Need = { signals: ['memory-write'], scope: 'one' };

/**
 * How often the lamp begins to write its non-volatile memory: rises of a pin that is high meanwhile. A cell of such memory lasts for some
 * 100,000 writes (common practice, no source).
 * Inputs: the pin (V), two samples at least in each of its pulses. Output: number, 0 where it never rises.
 * Fooled by: how much is written at a time; a pin that is not wired, which never rises: ask for a write where there has to be one.
 * Not measurable: pin not recorded, empty window, samples that are not finite, pulses or pauses of a single sample.
 * Source: common practice, no source.
 */
export const memoryWrites: Metric = {
  id: 'memory-writes',
  title: 'Writes of non-volatile memory',
  family: 'control',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [pinThreshold],
  source: 'common-practice',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const part = pinPart(observation, 'memory-write', needs);
    if (!isMeasurable(part)) return part;
    const {
      threshold,
      waveform: { samples, rate },
    } = part;
    let [writes, since, shortest] = [0, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
    for (let k = 1; k < samples.length; k++) {
      since++;
      const high = sampleAt(samples, k) > threshold;
      if (high === sampleAt(samples, k - 1) > threshold) continue;
      if (high) writes++;
      shortest = Math.min(shortest, since);
      since = 0;
    }
    if (shortest < 2) {
      const facts = { found: shortest / rate, needed: 2 / rate, unit: 's' } as const;
      return notMeasurable('unresolved', { ...facts, note: 'pulses or pauses of one sample' });
    }
    return measured(writes, evidence ? { charts: [], notes: {} } : noEvidence, []);
  },
};
