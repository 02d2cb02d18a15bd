import { spectrumChart, waveformChart } from '../../charts/flicker-charts.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { extremes } from '../../signal/extremes.ts';
import { lowPassed } from '../../signal/low-passed.ts';
import { periodicLength } from '../../signal/periodic-length.ts';
import { statistics } from '../../signal/statistics.ts';
import type { Waveform } from '../../waveform.ts';

/** At least 20 kS/s and 2 s (from memory). */
const needs: Need = {
  ...lightNeed,
  rate: 20_000,
  duration: 2,
};

/**
 * Modulation of the light with every Fourier component above a cut-off taken out: (max - min) / (max + min) of what is
 * left. The usual cut-offs are 40, 90, 200, 400 and 1000 Hz. Light below zero that the filter makes is not clipped, so
 * the figure may exceed 1: 4/π for a square wave from dark of which only the fundamental is left.
 * Inputs: light (lx) or LED current (A), at least 2 s at 20 kS/s. Output: ratio.
 * The record is cut to whole periods of its dominant frequency, for the filter takes it as periodic.
 * Noise: what the noise left in the band adds to the extremes is taken off.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Source: California Title 24, JA10.6 (procedure confirmed; rate and duration from memory; no clipping: own decision).
 */
export const bandLimitedModulation: Metric = {
  id: 'band-limited-modulation',
  title: 'Modulation below the cut-off',
  family: 'flicker',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs,
  parameters: [
    {
      name: 'cut-off',
      kind: 'frequency',
      default: 200,
      about: 'components above this frequency are taken out (JA10: 40, 90, 200, 400 or 1000 Hz)',
    },
  ],
  source: 'ja10',
  blindTo: ['scale'],
  compute(observation, options) {
    const record = litRecord(observation, needs);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const { samples, rate } = waveform;
    const cutOff = Number(observation.parameters['cut-off'] ?? 200);
    if (!(cutOff > 0 && cutOff < rate / 2)) {
      return notMeasurable('out-of-domain', { found: cutOff, needed: rate / 2, unit: 'Hz' });
    }
    const { dominant } = analysis;
    const length = periodicLength(samples.length, dominant ? rate / dominant.frequency : 1);
    const light = lowPassed(waveform, length, cutOff);
    const noise = analysis.noise * Math.sqrt(Math.min(1, (2 * cutOff) / rate));
    const { low, high } = extremes(light, statistics(light), noise);
    const value = (high - low) / (high + low);
    if (options?.evidence === false) return measured(value, noEvidence);
    const { start, unit } = waveform;
    const filtered: Waveform = {
      samples: light,
      rate: (rate * light.length) / length,
      start,
      unit,
      clipped: 0,
    };
    const charts = [waveformChart(filtered, analysis), spectrumChart(analysis)];
    return measured(value, { charts, notes: { 'cut-off': cutOff, low, high } });
  },
};
