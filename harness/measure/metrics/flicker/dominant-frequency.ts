import { isOfDarkWiring } from '../../analysis/lamp-lines.ts';
import { spectrumChart } from '../../charts/flicker-charts.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { noPeriodicity } from '../../features/flicker/no-periodicity.ts';
import type { Metric } from '../../metric.ts';
import { flickerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Dominant frequency: that of the strongest line in the spectrum of the light, of lines within a tenth as strong the slowest.
 * Inputs: light (lx) or LED current (A), at least 2 kS/s. Output: Hz, below half the sampling rate.
 * Not measurable: no line above the noise with at least five periods in the window (or in 10 s of it); the strongest one is
 * no better than a line of the dark wiring.
 * Source: common practice, no source.
 */
export const dominantFrequency: Metric = {
  id: 'dominant-frequency',
  title: 'Dominant frequency of the light',
  family: 'flicker',
  unit: 'Hz',
  dimension: 'frequency',
  shown: 'Hz',
  needs: flickerNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    const record = litRecord(observation, flickerNeed);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const { dominant } = analysis;
    if (!dominant) return noPeriodicity(waveform);
    if (isOfDarkWiring(dominant, waveform))
      return notMeasurable('below-noise', {
        note: 'the strongest line is no stronger than that of the dark wiring',
      });
    if (options?.evidence === false) return measured(dominant.frequency, noEvidence);
    const notes = { 'relative-amplitude': dominant.amplitude / analysis.spectrum.mean };
    return measured(dominant.frequency, { charts: [spectrumChart(analysis)], notes });
  },
};
