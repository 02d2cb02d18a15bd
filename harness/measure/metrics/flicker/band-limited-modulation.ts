import { spectrumChart, waveformChart } from '../../charts/flicker-charts.ts';
import { bandContributions, bandFloor } from '../../features/flicker/band-limited-doubt.ts';
import { bandLimited, bandModulation } from '../../features/flicker/band-limited-light.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
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
 * Tones are fitted, and those above the cut-off dropped, so that a record of no whole number of periods leaks nothing; a
 * tone on the cut-off stays, and U reaches the figure without one that cannot be told from it: one within 1 / record length
 * of it, which the procedure's Fourier transform of the record shows on both sides.
 * Noise: what the noise left in the band adds to the extremes is taken off; what it may hide is a floor.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Fooled by: hum and pickup of the bench; a sensor too slow, which hides the fast part; flicker that comes and goes
 * outside of the window.
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
    const { rate, start, unit } = waveform;
    const cutOff = Number(observation.parameters['cut-off'] ?? 200);
    if (!(cutOff > 0 && cutOff < rate / 2)) {
      return notMeasurable('out-of-domain', { found: cutOff, needed: rate / 2, unit: 'Hz' });
    }
    if (options?.evidence === false) return measured(bandModulation(record, cutOff), noEvidence);
    const limited = bandLimited(record, cutOff);
    const { modulation, course, low, high } = limited;
    const filtered: Waveform = {
      samples: course.values,
      rate: rate / course.apart,
      start: start + course.first / rate,
      unit,
      clipped: 0,
    };
    const charts = [waveformChart(filtered, analysis), spectrumChart(analysis)];
    const evidence = { charts, notes: { 'cut-off': cutOff, low, high } };
    return measured(
      modulation,
      evidence,
      bandContributions(limited, record, cutOff),
      bandFloor(record, cutOff),
    );
  },
};
