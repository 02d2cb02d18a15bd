import { noiselessMean } from '../../analysis/means.ts';
import { spectrumChart, waveformChart } from '../../charts/flicker-charts.ts';
import { noiseSeverity, sineSeverity } from '../../features/flicker/added-severity.ts';
import { blindShare, foldedAmplitude } from '../../features/flicker/components.ts';
import { leastSensation } from '../../features/flicker/least-sensation.ts';
import { lightSeverity, realisedWithin } from '../../features/flicker/light-flickermeter.ts';
import { type LitRecord, litRecord } from '../../features/flicker/lit-record.ts';
import { scaleOf, scaleParameter, scaleWords } from '../../features/flicker/sensation-scale.ts';
import { constantSeverity } from '../../features/flicker/short-term-severity.ts';
import type { Metric, Need } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import { type Contribution, isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * PstLM, short-term severity of light flicker below about 90 Hz: 1 is what half of the people find irritating.
 * Inputs: light (lx) or LED current (A), at least `duration` at 2 kS/s or more. Output: pure number; proportional to the
 * modulation of a given waveform.
 * Parameter `scale`: the constant of the sensation, 1.1016e6 (IEC TR 61547-1, from memory) or 1.23835e6 (computed from the
 * voltage flickermeter's reference point; PstLM 6.0 % higher). The title says which.
 * U holds what noise, rounding and components folded down from above half the rate may add, and the deviation of these filters from analogue ones (1 % at 4 kS/s or more, 4 % at 2 kS/s), not the 5 % that
 * IEC 61000-4-15 allows an instrument.
 * Not measurable: record too short or too slow; dark, clipped, negative or non-finite samples.
 * Fooled by: a supply that is not steady, whose flicker the lamp passes on; drift while the lamp warms up; hum of the
 * bench that beats with the light.
 * Source: IEC TR 61547-1 Annex A on IEC 61000-4-15:2010 (weighting from memory, reproduced by computation).
 *
 * @param duration of the record, s
 */
function severity(id: string, title: string, duration: number): Metric {
  const needs: Need = { ...lightNeed, rate: 2000, duration };
  return {
    id,
    title,
    family: 'flicker',
    unit: '1',
    dimension: 'number',
    shown: '1',
    needs,
    parameters: [scaleParameter],
    qualifier: scaleWords,
    source: 'iec-tr-61547-1',
    blindTo: ['scale'],
    compute(observation, options) {
      const record = litRecord(observation, needs);
      if (!isMeasurable(record)) return record;
      const { waveform, analysis } = record;
      const scale = scaleOf(observation.parameters);
      const value = lightSeverity(waveform, noiselessMean(waveform), scale);
      if (options?.evidence === false) return measured(value, noEvidence);
      const floor = Math.max(
        constantSeverity(leastSensation(record, scale)),
        sineSeverity(blindShare(record), scale),
      );
      const charts = [waveformChart(waveform, analysis), spectrumChart(analysis)];
      const evidence = { charts, notes: { scale } };
      return measured(value, evidence, contributions(record, value, scale), floor);
    },
  };
}

/** Half-widths of rectangles: what the figure holds that may not be the light's. */
function contributions(record: LitRecord, value: number, scale: number): Contribution[] {
  const noise = Math.min(value, noiseSeverity(record, scale));
  const added = [
    ['realisation of the filters', value * realisedWithin(record.waveform.rate)],
    // Noise adds to the light's own flicker as squares do.
    ['noise of the record', value - Math.sqrt(value * value - noise * noise)],
    ['components folded down', sineSeverity(foldedAmplitude(record), scale)],
    ['rounding', sineSeverity(blindShare(record), scale)],
  ] as const;
  return added.map(([name, width]) => ({
    name,
    standard: Math.min(value, width) / Math.sqrt(3),
  }));
}

/** PstLM over at least 180 s, the usual record (from memory). */
export const shortTermLightModulation: Metric = severity(
  'pst-lm',
  'Short-term light modulation, PstLM',
  180,
);

/**
 * PstLM over at least 10 min, the time that IEC 61000-4-15 observes: seldom flicker counts with the share of time that it has.
 */
export const tenMinuteLightModulation: Metric = severity(
  'pst-lm-10-min',
  'Short-term light modulation over 10 min, PstLM',
  600,
);
