import { codeChanges } from '../../analysis/code-changes.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { lengthOf } from '../../analysis/waveform-part.ts';
import { waveformChart } from '../../charts/flicker-charts.ts';
import { type LitRecord, litRecord } from '../../features/flicker/lit-record.ts';
import { noPeriodicity } from '../../features/flicker/no-periodicity.ts';
import { bandUnseen, upTo, wholeWaveformNeed } from '../../features/flicker/seen-band.ts';
import type { Metric } from '../../metric.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { meanDeviation } from '../../signal/mean-deviation.ts';

/** The strongest line must stand this far above the noise of one sample before an area can be told from it. */
const clearOfNoise = 2;
/** Samples that a period must hold: with fewer the light's course within a sample weighs too much. */
const samplesPerPeriod = 10;
/**
 * Samples that deviate by no more than this many times the noise are noise, a line below `clearOfNoise`, or both: noise
 * alone gives 0.8 (√(2/π)), and narrow pulses with such a line add 2 at most (computed).
 */
const noMoreThanNoise = 3;
/** How well the noise and so its correction is known, relative. */
const correctionKnown = 0.5;

/**
 * Flicker index: area above the mean / total area, over an integral number of periods of the dominant frequency;
 * equal to mean|x - mean| / (2 mean).
 * Inputs: light (lx) or LED current (A), at least 10 kS/s. Output: ratio, 0 ≤ FI < 1. Parameter: `up-to` Hz.
 * Noise: white noise of variance s² raises mean|x - mean| by s² times the density of the light's values at the mean;
 * the density is counted and the rise taken off, so pulses far from the mean are left alone.
 * Steady light: where nothing but noise moves the samples, the index is that of a sine as strong as the strongest line,
 * and 0 without one. What the noise may hide is a contribution: adding noise of mean 0 never lowers mean|x - mean|
 * (Jensen's inequality), so the index of the samples as they are is an upper bound of the light's own.
 * Not measurable: more than noise, but no line in the spectrum (an index is defined over periods) or only a line within
 * the noise; fewer than 10 samples a period; dark, clipped, negative or non-finite samples.
 * Fooled by: a slow sensor, which rounds the waveform; a zero that is off, for it moves the mean; light that drifts
 * within the window.
 * Source: IEV 845-22-094 with note 3 (confirmed); IES definition 5.9.9.4. Steady light: computed.
 */
export const flickerIndex: Metric = {
  id: 'flicker-index',
  title: 'Flicker index',
  family: 'flicker',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: wholeWaveformNeed,
  parameters: [upTo],
  source: 'iev-845',
  blindTo: ['scale', 'time-base'],
  compute(observation, options) {
    const record = litRecord(observation, wholeWaveformNeed);
    if (!isMeasurable(record)) return record;
    const unseen = bandUnseen(record.waveform, observation.parameters);
    if (unseen) return unseen;
    const { waveform, analysis } = record;
    const { dominant, noise } = analysis;
    if (!dominant || dominant.amplitude < clearOfNoise * noise) {
      const steady = steadyIndex(record);
      if (steady) {
        const { value, bound, mean } = steady;
        const hidden = { name: 'within the noise', standard: (bound - value) / Math.sqrt(3) };
        const floor = bound + withinCode(record);
        if (options?.evidence === false) return measured(value, noEvidence, [hidden], floor);
        const charts = [waveformChart(waveform, analysis)];
        return measured(value, { charts, notes: { mean, 'upper-bound': bound } }, [hidden], floor);
      }
      if (!dominant) return noPeriodicity(waveform);
      const needed = clearOfNoise * noise;
      return notMeasurable('below-noise', {
        found: dominant.amplitude,
        needed,
        unit: waveform.unit,
      });
    }
    const period = waveform.rate / dominant.frequency;
    if (period < samplesPerPeriod) {
      const needed = samplesPerPeriod * dominant.frequency;
      return notMeasurable('too-slow', { found: waveform.rate, needed, unit: 'Hz' });
    }
    // Edges of pulses pass for noise in the spectrum, their absence from a quiet stretch does not.
    const quiet = Math.min(noise, quietNoise(waveform));
    const { mean, deviation, rise, edges, pulses } = meanDeviation(waveform.samples, period, quiet);
    const value = (deviation - rise) / (2 * mean);
    // What each code between two changes of it errs by is taken as independent within a period, as alike in all periods.
    const pieces = Math.sqrt(Math.max(1, (codeChanges(waveform) * period) / lengthOf(waveform)));
    const contributions = [
      { name: 'edges between samples', standard: edges / (2 * mean) / Math.sqrt(3) },
      { name: 'pulses within samples', standard: (oneSided * pulses) / (2 * mean) },
      // The mean over a sample's interval flattens a sine by (π / samples a period)² / 6.
      { name: 'width of a sample', standard: (oneSided * value * (Math.PI / period) ** 2) / 6 },
      { name: 'noise correction', standard: (correctionKnown * rise) / (2 * mean) },
      { name: 'rounding', standard: (2 * withinCode(record)) / pieces / Math.sqrt(12) },
    ];
    const floor = (2 * correctionKnown * rise) / (2 * mean) + withinCode(record);
    if (options?.evidence === false) return measured(value, noEvidence, contributions, floor);
    const notes = { mean, 'dominant-frequency': dominant.frequency };
    const charts = [waveformChart(waveform, analysis)];
    return measured(value, { charts, notes }, contributions, floor);
  },
};

/** Index of the largest swing within a code: a square wave of half a step either way, m / 2 (closed form). */
function withinCode({ waveform: { step = 0 }, analysis }: LitRecord): number {
  return step / 4 / analysis.statistics.mean;
}

/** Index of light that hardly stands out of the noise, and the largest it can be; null when more than noise moves it. */
function steadyIndex({
  waveform,
  analysis,
}: LitRecord): { readonly value: number; readonly bound: number; readonly mean: number } | null {
  const { dominant, noise } = analysis;
  const { samples, step = 0 } = waveform;
  // A steady light may sit between two codes of the digitiser, with no noise to be seen.
  const scatter = Math.max(noise, step / 2);
  const { mean, deviation } = meanDeviation(samples, samples.length, noise);
  if (deviation > noMoreThanNoise * scatter) return null;
  const bound = deviation / (2 * mean);
  const sine = (dominant?.amplitude ?? 0) / (Math.PI * mean);
  return { value: Math.min(sine, bound), bound, mean };
}
