import { currentChart } from '../../charts/current-charts.ts';
import { switchingCycles } from '../../features/current/switching-cycles.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { extremes } from '../../signal/extremes.ts';
import { sixthDifferenceNoise } from '../../signal/noise-level.ts';
import { statistics } from '../../signal/statistics.ts';
import { soundPart } from '../../subject/sound-record.ts';

/**
 * Highest LED current in the window, less what the noise adds to a highest sample; where the
 * ripple of the output stage is resolved, at least the mean of its peaks.
 * Inputs: LED current (A), sampled fast enough to see the switching. Output: A.
 * Not measurable: no sound samples, fewer than eight.
 * Source: common practice, no source.
 */
export const peakCurrent: Metric = {
  id: 'peak-current',
  title: 'Peak LED current',
  family: 'current',
  unit: 'A',
  dimension: 'current',
  shown: 'mA',
  needs: currentNeed,
  parameters: [],
  source: 'common-practice',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const waveform = soundPart(observation, currentNeed);
    if (!isMeasurable(waveform)) return waveform;
    const { samples, rate } = waveform;
    if (samples.length < 8) {
      return notMeasurable('too-short', {
        found: samples.length / rate,
        needed: 8 / rate,
        unit: 's',
      });
    }
    const noise = finite(sixthDifferenceNoise(samples));
    const stats = statistics(samples);
    const { high: seen, highBetween } = extremes(samples, stats, noise);
    // Averaging over a sample cuts the tips off a ripple; where its flanks are seen, their corners tell the peak.
    const cycles = switchingCycles(waveform);
    const high = isMeasurable(cycles) ? Math.max(seen, cycles.peak) : seen;
    const at = waveform.start + (stats.highestAt + 0.5) / rate;
    const near = { from: at - 500 / rate, to: at + 500 / rate };
    const shown = evidence
      ? {
          charts: [
            currentChart(waveform, 'Around the peak', near, [{ name: 'peak', level: high }]),
          ],
          notes: { at, mean: stats.mean, noise },
        }
      : noEvidence;
    return measured(high, shown, [
      { name: 'noise of the highest sample', standard: noise, isNoise: true },
      { name: 'between two samples', standard: highBetween },
    ]);
  },
};

function finite(value: number): number {
  return Number.isFinite(value) ? value : 0;
}
