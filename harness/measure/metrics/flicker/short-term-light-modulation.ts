import { noiselessMean } from '../../analysis/means.ts';
import { spectrumChart, waveformChart } from '../../charts/flicker-charts.ts';
import {
  lightSeverity,
  realisedWithin,
  sensationScale,
} from '../../features/flicker/light-flickermeter.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/** 180 s is the usual record (from memory). */
const needs: Need = {
  ...lightNeed,
  rate: 2000,
  duration: 180,
};

/**
 * PstLM, short-term severity of light flicker below about 90 Hz: 1 is what half of the people find irritating.
 * Inputs: light (lx) or LED current (A), at least 180 s at 2 kS/s or more. Output: pure number; proportional to the
 * modulation of a given waveform.
 * Parameter `scale`: the constant of the sensation, 1.1016e6 (IEC TR 61547-1, from memory) or 1.23835e6 (computed from the
 * voltage flickermeter's reference point; PstLM 6.0 % higher). The title says which.
 * U holds the deviation of these filters from analogue ones (1 % at 4 kS/s or more, 4 % at 2 kS/s), not the 5 % that
 * IEC 61000-4-15 allows an instrument.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Source: IEC TR 61547-1 Annex A on IEC 61000-4-15:2010 (weighting from memory, reproduced by computation).
 */
export const shortTermLightModulation: Metric = {
  id: 'pst-lm',
  title: 'Short-term light modulation, PstLM',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs,
  parameters: [
    {
      name: 'scale',
      kind: 'number',
      default: sensationScale.light,
      about:
        'scale of the flicker sensation: 1.1016e6 (IEC TR 61547-1, from memory) or 1.23835e6 (derived from IEC 61000-4-15)',
    },
  ],
  qualifier: scaleWords,
  source: 'iec-tr-61547-1',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const scale = scaleOf(observation.parameters);
    const value = lightSeverity(waveform, noiselessMean(waveform), scale);
    const contributions = [
      {
        name: 'realisation of the filters',
        standard: (value * realisedWithin(waveform.rate)) / Math.sqrt(3),
      },
    ];
    if (options?.evidence === false) return measured(value, noEvidence, contributions);
    const charts = [waveformChart(waveform, analysis), spectrumChart(analysis)];
    return measured(value, { charts, notes: { scale } }, contributions);
  },
};

type Parameters = Readonly<Record<string, number | string>>;

function scaleOf(parameters: Parameters): number {
  return Number(parameters['scale'] ?? sensationScale.light);
}

/** Two scales are about, 6 % apart: a PstLM without its own says less than it seems to. */
function scaleWords(parameters: Parameters): string {
  return `scale ${scaleOf(parameters).toExponential().replace('e+', 'e')}`;
}
