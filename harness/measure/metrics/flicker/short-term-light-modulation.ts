import { noiselessMean } from '../../analysis/means.ts';
import { spectrumChart, waveformChart } from '../../charts/flicker-charts.ts';
import { leastSensation } from '../../features/flicker/least-sensation.ts';
import { lightSeverity, realisedWithin } from '../../features/flicker/light-flickermeter.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { scaleOf, scaleParameter, scaleWords } from '../../features/flicker/sensation-scale.ts';
import { constantSeverity } from '../../features/flicker/short-term-severity.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * PstLM, short-term severity of light flicker below about 90 Hz: 1 is what half of the people find irritating.
 * Inputs: light (lx) or LED current (A), at least `duration` at 2 kS/s or more. Output: pure number; proportional to the
 * modulation of a given waveform.
 * Parameter `scale`: the constant of the sensation, 1.1016e6 (IEC TR 61547-1, from memory) or 1.23835e6 (computed from the
 * voltage flickermeter's reference point; PstLM 6.0 % higher). The title says which.
 * U holds the deviation of these filters from analogue ones (1 % at 4 kS/s or more, 4 % at 2 kS/s), not the 5 % that
 * IEC 61000-4-15 allows an instrument.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Source: IEC TR 61547-1 Annex A on IEC 61000-4-15:2010 (weighting from memory, reproduced by computation).
 *
 * @param duration of the record, s
 */
function severity(id: string, title: string, duration: number): Metric {
  const needs: Need = { ...lightNeed, rate: 2000, duration };
  return {
    id,
    title,
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
      const value = lightSeverity(waveform, noiselessMean(waveform), scale);
      const realised = (value * realisedWithin(waveform.rate)) / Math.sqrt(3);
      const contributions = [{ name: 'realisation of the filters', standard: realised }];
      const floor = constantSeverity(leastSensation(record, scale));
      if (options?.evidence === false) return measured(value, noEvidence, contributions, floor);
      const charts = [waveformChart(waveform, analysis), spectrumChart(analysis)];
      return measured(value, { charts, notes: { scale } }, contributions, floor);
    },
  };
}

/** PstLM over at least 180 s, the usual record (from memory). */
export const shortTermLightModulation: Metric = severity(
  'pst-lm',
  'Short-term light modulation, PstLM',
  180,
);

/**
 * PstLM over at least 10 min, the time that IEC 61000-4-15 observes: seldom flicker counts with the share of time that it has.
 */
export const tenMinuteLightModulation: Metric = severity(
  'pst-lm-10-min',
  'Short-term light modulation over 10 min, PstLM',
  600,
);
