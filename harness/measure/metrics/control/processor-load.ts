import { duration, windowed } from '../../analysis/waveform-part.ts';
import type { Metric, Need } from '../../metric.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { sampleAt } from '../../signal/samples.ts';
import { lampRecord, whyUnsound } from '../../subject/sound-record.ts';

const needs: Need = { signals: ['busy'], scope: 'one' };

/** Stretches whose load is told apart, s. */
const stretch = 0.01;

/**
 * Load of the lamp's processor: part of the time in which its busy pin is high.
 * Inputs: busy pin (V), several samples in each busy stretch. Output: ratio, 1 for nothing left.
 * Not measurable: pin not recorded, empty window, samples that are not finite.
 * Source: common practice, no source.
 */
export const processorLoad: Metric = {
  id: 'processor-load',
  title: 'Processor load',
  family: 'control',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [
    {
      name: 'threshold',
      kind: 'voltage',
      default: 1.5,
      about: 'voltage above which the pin is high',
    },
  ],
  source: 'common-practice',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const record = lampRecord(observation, 'busy');
    if (!isMeasurable(record)) return notMeasurable('no-record', { note: 'no busy pin' });
    const unsound = whyUnsound(record, needs, observation.window, { clipped: true });
    if (unsound) return unsound;
    const { from, to } = observation.window;
    const waveform = windowed(record.waveform, from, to);
    const { samples, rate } = waveform;
    const threshold = Number(observation.parameters['threshold'] ?? 1.5);
    const group = Math.max(1, Math.round(stretch * rate));
    let [high, changes, own, most] = [0, 0, 0, 0];
    for (let index = 0; index < samples.length; index++) {
      const busy = sampleAt(samples, index) > threshold;
      if (busy) [high, own] = [high + 1, own + 1];
      if (index > 0 && busy !== sampleAt(samples, index - 1) > threshold) changes++;
      if ((index + 1) % group === 0) [most, own] = [Math.max(most, own / group), 0];
    }
    const load = high / samples.length;
    // Each change is placed to within a sample: rectangular, independent.
    const standard = Math.sqrt(changes / 12) / rate / duration(waveform);
    const notes = { 'changes-of-the-pin': changes, 'highest-within-10-ms': Math.max(most, load) };
    return measured(load, evidence ? { charts: [], notes } : noEvidence, [
      { name: 'sample interval', standard },
    ]);
  },
};
