import { waveformChart } from '../../charts/flicker-charts.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { wholeModulation } from '../../features/flicker/whole-modulation.ts';
import type { Metric } from '../../metric.ts';
import { flickerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Modulation (percent flicker, Michelson contrast): (Lmax - Lmin) / (Lmax + Lmin) over the window.
 * Inputs: light (lx) or LED current (A), at least 2 kS/s. Output: ratio 0..1.
 * Noise: what it adds to the extremes of a plateau is taken off; the raw figure stands among the notes. Light that
 * changes within one sample's interval is seen as its mean.
 * Not measurable: pulses of a single sample on a bright ground; dark, clipped, negative or non-finite samples; fewer than 16 samples.
 * Source: Wilkins, Veitch and Lehman 2010, section I (confirmed); CIE e-ILV, amplitude of fluctuation.
 */
export const modulation: Metric = {
  id: 'modulation',
  title: 'Modulation (percent flicker)',
  family: 'flicker',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: flickerNeed,
  parameters: [],
  source: 'wilkins-2010',
  blindTo: ['scale', 'time-base'],
  compute(observation, options) {
    const record = litRecord(observation, flickerNeed);
    if (!isMeasurable(record)) return record;
    const whole = wholeModulation(record);
    if (!isMeasurable(whole)) return whole;
    const { value, raw, low, high, contributions } = whole;
    if (options?.evidence === false) return measured(value, noEvidence, contributions);
    const charts = [waveformChart(record.waveform, record.analysis)];
    return measured(value, { charts, notes: { low, high, 'raw-modulation': raw } }, contributions);
  },
};
