import type { Analysis } from '../../analysis/analysis.ts';
import { isOfDarkWiring, mayBePickup } from '../../analysis/lamp-lines.ts';
import { spectrumChart } from '../../charts/flicker-charts.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { noPeriodicity } from '../../features/flicker/no-periodicity.ts';
import type { Metric } from '../../metric.ts';
import { flickerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import { lobeCentre } from '../../signal/lobe-centre.ts';
import type { SpectralLine } from '../../signal/spectral-lines.ts';

/**
 * Dominant frequency: that of the strongest line in the spectrum of the light, of lines within a tenth as strong the slowest.
 * Inputs: light (lx) or LED current (A), at least 2 kS/s. Output: Hz, below half the sampling rate.
 * Not measurable: no line above the noise with at least five periods in the window (or in 10 s of it); the strongest one is
 * no better than a line of the dark wiring.
 * Fooled by: aliases of a modulator above half the sampling rate; hum of the bench; several tones of like strength, of
 * which it names one.
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
    if (mayBePickup(dominant, waveform))
      return notMeasurable('below-noise', {
        note: 'the strongest line is weak and at a multiple of the mains: record the dark wiring',
      });
    const { frequency, hidden } = placeOf(dominant, analysis);
    const contributions = [
      { name: 'tones beside it', standard: besides(dominant, analysis) / Math.sqrt(3) },
      { name: 'tones hidden in its lobe', standard: hidden / Math.sqrt(3) },
      { name: 'tones not told apart', standard: (dominant.spread ?? 0) / Math.sqrt(3) },
    ];
    if (options?.evidence === false) return measured(frequency, noEvidence, contributions);
    const notes = { 'relative-amplitude': dominant.amplitude / analysis.spectrum.mean };
    return measured(frequency, { charts: [spectrumChart(analysis)], notes }, contributions);
  },
};

/**
 * Frequency of a line, by the top of its lobe, and how far a tone may have moved it, Hz, that is too weak beside it to be a line of its
 * own: such a tone moves the whole lobe farther than its top (computed: four bins apart or more; of what is nearer the record tells
 * little). A line that wanders has no top: its centre counts.
 */
function placeOf(
  { frequency, spread = 0 }: SpectralLine,
  { spectrum }: Analysis,
): { readonly frequency: number; readonly hidden: number } {
  if (spread > 0) return { frequency, hidden: 0 };
  const top = lobeCentre(spectrum, frequency, 1);
  const wider = lobeCentre(spectrum, frequency, 2);
  return { frequency: top, hidden: Math.max(Math.abs(frequency - top), Math.abs(wider - top)) };
}

/** Lobes of two tones this far apart, in bins, touch. */
const touching = 7;
/** What a tone so near moves the centre of a lobe by: this many bins times the square of its part of the amplitude (computed: 4.7 to 8). */
const moves = 8;

/** How far the lines beside one may have moved its centre, Hz: no more than a bin. */
function besides({ frequency, amplitude }: SpectralLine, { lines, spectrum }: Analysis): number {
  let sum = 0;
  for (const other of lines) {
    const apart = Math.abs(other.frequency - frequency) / spectrum.step;
    if (apart > 0 && apart < touching) sum += (other.amplitude / amplitude) ** 2;
  }
  return Math.min(1, moves * sum) * spectrum.step;
}
