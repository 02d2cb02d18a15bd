import { estimatedNoise } from '../../analysis/estimated-noise.ts';
import { lampLines, mayBePickup } from '../../analysis/lamp-lines.ts';
import { duration, lengthOf } from '../../analysis/waveform-part.ts';
import { ditherChart } from '../../charts/fade-charts.ts';
import { visibleModulation } from '../../features/fade/visible-modulation.ts';
import { componentsOf, hiddenOf, meanOf } from '../../features/flicker/components.ts';
import { type LitRecord, litRecord } from '../../features/flicker/lit-record.ts';
import {
  shareContributions,
  shareFloor,
  worstComponent,
} from '../../features/flicker/worst-component.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';

/** What the metrics of dithering read: a steady level, long enough for lines of a few hertz. */
const ditherNeed: Need = { ...lightNeed, duration: 1 };

/**
 * Dither rate: frequency of the slowest regular change of a steady level whose amplitude is at least `least` of the
 * mean: the rate at which the firmware alternates between neighbouring levels, or the slowest tone of a modulator.
 * Inputs: light (lx) or LED current (A) at a steady level, at least 1 s. Output: Hz.
 * Lines that the dark wiring explains do not count; without a record of it a weak one at a multiple of the mains is not told from it.
 * Not measurable: too short, dark, no line of that size (then nothing alternates that could be seen), a slower one of
 * that size may hide, or slow noise may be the line.
 * Fooled by: mains hum on a bench without a dark record; a beat between the modulator and the sampling; a dither slower
 * than the record.
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
    const record = litRecord(observation, ditherNeed);
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const mean = meanOf(analysis);
    const least = Number(observation.parameters['least'] ?? 0.002);
    const lines = [...analysis.slow.lines, ...lampLines(waveform)];
    const slowest = lines.find(({ amplitude }) => amplitude >= least * mean);
    if (slowest && mayBePickup(slowest, waveform)) {
      const note = `a line at ${Number(slowest.frequency.toPrecision(4))} Hz may be the mains: record the dark wiring`;
      const found = slowest.amplitude / mean;
      return notMeasurable('below-noise', { found, needed: least, unit: '1', note });
    }
    if (
      slowest &&
      slowest.amplitude < clearOfSlowNoise * slowNoiseAt(slowest.frequency, waveform)
    ) {
      const note = 'noise that falls with frequency may be the slowest change of that size';
      return notMeasurable('below-noise', {
        found: slowest.amplitude / mean,
        needed: least,
        unit: '1',
        note,
      });
    }
    const slower = hiddenBelow(record, slowest?.frequency ?? waveform.rate / 2);
    if (slower >= least) {
      const note = 'noise, codes or a short record may hide a slower change of that size';
      return notMeasurable('below-noise', { found: slower, needed: least, unit: '1', note });
    }
    if (!slowest)
      return notMeasurable('no-periodicity', { note: 'no regular change of that size' });
    const notes = { amplitude: slowest.amplitude / mean, mean };
    const shown = evidence ? { charts: [ditherChart(lines, mean)], notes } : noEvidence;
    // A line is placed to about a tenth of the record's frequency resolution.
    const standard = 0.1 / duration(waveform);
    return measured(slowest.frequency, shown, [{ name: 'frequency resolution', standard }]);
  },
};

/** So many standard deviations of a quadrature no line of a record of noise reaches (Rayleigh: once in 65 million). */
const clearOfSlowNoise = 6;

/** What slow noise makes of either quadrature of a line, in the record's unit: √(2 S / T) of a one-sided density S. */
function slowNoiseAt(frequency: number, waveform: Waveform): number {
  const { slow } = waveform.dark ?? estimatedNoise(waveform, true).dark;
  return Math.sqrt((2 * slow) / (frequency * duration(waveform)));
}

/** The largest amplitude, relative to the mean, of a change slower than a frequency (Hz) that the record may hide. */
function hiddenBelow(record: LitRecord, frequency: number): number {
  const { step } = record.analysis.spectrum;
  let most = 0;
  const band = { from: fewest / duration(record.waveform), to: frequency - beside * step };
  hiddenOf(record, band, (_, amplitude) => {
    most = Math.max(most, amplitude);
  });
  return most;
}

/** Bins beside a line that are its own. */
const beside = 4;

/** Above this frequency every modulation is of low risk, Hz. */
const highest = 1250;
/** Periods of a change that a record must hold for it to be told from drift. */
const fewest = 2;

/**
 * Visibility of dithering at a steady level: the largest of its regular changes against the modulation of low risk at
 * its frequency; 1 is on that limit, 0 means that none is seen.
 * Inputs: light (lx) or LED current (A) at a steady level, at least 1 s, sampled at 2.5 kHz or more. Output: number.
 * Floor: what noise, rounding, resolution and averaging may hide.
 * Not measurable: too short, too slow, dark.
 * Fooled by: pickup of the bench, which counts where no dark record explains it; dither that has no line in the
 * spectrum, such as noise-shaped one.
 * Source: IEEE Std 1789-2015 recommended practice 1 (from memory), applied to each component as an extension.
 */
export const ditherVisibility: Metric = {
  id: 'dither-visibility',
  title: 'Visibility of dithering',
  family: 'fade',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: { ...ditherNeed, rate: 2 * highest },
  parameters: [],
  source: 'ieee-1789-2015',
  blindTo: ['scale'],
  statesNoise: true,
  compute(observation, { evidence = true } = {}) {
    const record = litRecord(observation, { ...ditherNeed, rate: 2 * highest });
    if (!isMeasurable(record)) return record;
    const { waveform, analysis } = record;
    const lowest = fewest / duration(waveform);
    const components = componentsOf(record).filter(({ frequency }) => frequency < highest);
    const { share, frequency } = worstComponent(components, visibleModulation);
    if (!evidence) return measured(share, noEvidence);
    const mean = meanOf(analysis);
    const notes = { frequency, mean };
    const charts = [ditherChart(analysis.lines, mean)];
    // What noise adds to a line: its share of one line's width, at the frequency that counted.
    const beside = (2 * analysis.floor.rms) / Math.sqrt(lengthOf(waveform)) / mean;
    const standard = frequency > 0 ? beside / visibleModulation(frequency) : 0;
    return measured(
      share,
      { charts, notes },
      [
        { name: 'noise at the line', standard, isNoise: true },
        ...shareContributions(components, visibleModulation),
      ],
      // A record too short to tell 1 Hz from drift may hide it.
      shareFloor(record, { from: Math.min(lowest, 1), to: highest }, visibleModulation),
    );
  },
};
