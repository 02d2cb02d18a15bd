import { analysisOf } from '../../analysis/analysis.ts';
import { ditherChart } from '../../charts/dither-chart.ts';
import type { Metric, Need } from '../../metric.ts';
import { isRecord, windowOf } from '../../observe.ts';
import { measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { duration } from '../../waveform.ts';

/** What the metrics of dithering read: a steady level, long enough for lines of a few hertz. */
export const ditherNeed: Need = {
  signals: ['light', 'channel-current'],
  scope: 'one',
  duration: 1,
};

/**
 * Dither rate: frequency of the slowest regular change of a steady level whose amplitude is at least `least` of the
 * mean: the rate at which the firmware alternates between neighbouring levels, or the slowest tone of a modulator.
 * Inputs: light (lx) or LED current (A) at a steady level, at least 1 s. Output: Hz.
 * Not measurable: too short, dark, no line of that size (then nothing alternates that could be seen).
 * Source: common practice, no source.
 */
export const ditherRate: Metric = {
  id: 'dither-rate',
  title: 'Rate of the slowest regular change of a level',
  family: 'fade',
  unit: 'Hz',
  dimension: 'frequency',
  shown: 'Hz',
  needs: ditherNeed,
  parameters: [
    {
      name: 'least',
      kind: 'ratio',
      default: 0.002,
      about: 'smallest amplitude relative to the mean that counts',
    },
  ],
  source: 'common-practice',
  blindTo: ['scale'],
  compute(observation, { evidence = true } = {}) {
    const waveform = windowOf(observation, ditherNeed);
    if (!isRecord(waveform)) return waveform;
    const { statistics, lines } = analysisOf(waveform);
    const { mean } = statistics;
    if (!(mean > 0)) return notMeasurable('dark');
    const least = Number(observation.parameters['least'] ?? 0.002);
    const slowest = lines.find(({ amplitude }) => amplitude >= least * mean);
    if (!slowest)
      return notMeasurable('no-periodicity', { note: 'no regular change of that size' });
    const notes = { amplitude: slowest.amplitude / mean, mean };
    const shown = evidence ? { charts: [ditherChart(lines, mean)], notes } : noEvidence;
    // A line is placed to about a tenth of the record's frequency resolution.
    const standard = 0.1 / duration(waveform);
    return measured(slowest.frequency, shown, [{ name: 'frequency resolution', standard }]);
  },
};
