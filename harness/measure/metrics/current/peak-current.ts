import { currentChart } from '../../charts/current-charts.ts';
import { switchingCycles } from '../../features/current/switching-cycles.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { extremes } from '../../signal/extremes.ts';
import { sixthDifferenceNoise } from '../../signal/noise-level.ts';
import { statistics } from '../../signal/statistics.ts';
import { soundPart } from '../../subject/sound-record.ts';

/** A single high sample is a pulse when it stands so far above the mean; a ripple's tip does not. */
const pulseRise = 1.5;

/**
 * Highest LED current in the window, less what the noise adds to a highest sample; where the
 * ripple of the output stage is resolved, at least the mean of its peaks.
 * Inputs: LED current (A), sampled fast enough to see the switching. Output: A.
 * The uncertainty reaches where the flanks beside the highest sample lead, for its tip may lie between two samples.
 * Not measurable: no sound samples, fewer than eight; pulses no longer than a sample, which show no height.
 * Fooled by: a probe that rounds the peak; inductive leads, whose spikes are no LED current; one glitch in a long
 * window, for it takes the highest.
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
    const { high: seen, highBetween, highCorrection, highAlone } = extremes(samples, stats, noise);
    if (highAlone && stats.highest > pulseRise * stats.mean) {
      const note = 'the highest pulses are no longer than a sample';
      return notMeasurable('too-slow', { found: rate, needed: 4 * rate, unit: 'Hz', note });
    }
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
    // Where the corners have told what the samples' tips lack, the scatter of the flanks is what is left.
    const { step = 0 } = waveform;
    return measured(high, shown, [
      {
        name: 'noise of the highest sample',
        standard: Math.min(noise, highCorrection),
        isNoise: true,
      },
      { name: 'between two samples', standard: Math.max(0, highBetween - (high - seen)) },
      { name: 'rounding of the highest sample', standard: step / Math.sqrt(12) },
    ]);
  },
};

function finite(value: number): number {
  return Number.isFinite(value) ? value : 0;
}
