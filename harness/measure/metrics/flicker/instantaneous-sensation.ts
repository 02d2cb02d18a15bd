import { noiselessMean } from '../../analysis/means.ts';
import { waveformChart } from '../../charts/flicker-charts.ts';
import { leastSensation } from '../../features/flicker/least-sensation.ts';
import { largestSensation, realisedWithin } from '../../features/flicker/light-flickermeter.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { scaleOf, scaleParameter, scaleWords } from '../../features/flicker/sensation-scale.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** The filters settle for 10 s, from either end. */
const needs: Need = { ...lightNeed, rate: 2000, duration: 20 };

/**
 * The largest instantaneous flicker sensation P_inst: 1 is what half of the people just see. PstLM weighs flicker with the
 * share of time that it has; this does not let a moment of it go.
 * Inputs: light (lx) or LED current (A), at least 20 s at 2 kS/s or more. Output: pure number; goes as the square of the modulation.
 * Parameter `scale` and U as for pst-lm.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Fooled by: one glitch of the bench in a long record, for it takes the largest; hum that beats with the light; a
 * supply that is not as steady as it was said to be.
 * Source: IEC TR 61547-1 Annex A on IEC 61000-4-15:2010, output 5 (from memory; weighting reproduced by computation).
 */
export const instantaneousSensation: Metric = {
  id: 'p-inst-max',
  title: 'Largest instantaneous flicker sensation, P_inst',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [scaleParameter],
  qualifier: scaleWords,
  source: 'iec-tr-61547-1',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const scale = scaleOf(observation.parameters);
    const value = largestSensation(waveform, noiselessMean(waveform), scale);
    // It goes as the square of what the filters pass.
    const realised = (2 * value * realisedWithin(waveform.rate)) / Math.sqrt(3);
    const contributions = [{ name: 'realisation of the filters', standard: realised }];
    const floor = leastSensation(record, scale);
    if (options?.evidence === false) return measured(value, noEvidence, contributions, floor);
    const charts = [waveformChart(waveform, analysis)];
    return measured(value, { charts, notes: { scale } }, contributions, floor);
  },
};
