import { waveformChart } from '../../charts/flicker-charts.ts';
import { litRecord } from '../../features/flicker/lit-record.ts';
import { bandUnseen, upTo, wholeWaveformNeed } from '../../features/flicker/seen-band.ts';
import { wholeModulation } from '../../features/flicker/whole-modulation.ts';
import type { Metric } from '../../metric.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Modulation (percent flicker, Michelson contrast): (Lmax - Lmin) / (Lmax + Lmin) over the window, of flicker up to a
 * stated frequency.
 * Inputs: light (lx) or LED current (A), at least 10 kS/s. Output: ratio 0..1. Parameter: `up-to` Hz.
 * Noise: what it adds to the extremes of a plateau is taken off; the raw figure stands among the notes. Light that
 * changes within one sample's interval is seen as its mean. Floor: what noise and rounding may hide.
 * Not measurable: too few samples a second to show flicker up to `up-to` (for slower records there is
 * `band-limited-modulation`); pulses of a single sample on a bright ground; dark, clipped, negative or non-finite
 * samples; fewer than 16 samples.
 * Fooled by: one glitch in a long window, for it takes the extremes; hum of the bench; a sensor too slow, or a zero
 * that is off. It says nothing of the frequency: a fast modulation may be harmless.
 * Source: Wilkins, Veitch and Lehman 2010, section I (confirmed); CIE e-ILV, amplitude of fluctuation.
 */
export const modulation: Metric = {
  id: 'modulation',
  title: 'Modulation (percent flicker)',
  family: 'flicker',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: wholeWaveformNeed,
  parameters: [upTo],
  source: 'wilkins-2010',
  blindTo: ['scale', 'time-base'],
  compute(observation, options) {
    const record = litRecord(observation, wholeWaveformNeed);
    if (!isMeasurable(record)) return record;
    const unseen = bandUnseen(record.waveform, observation.parameters);
    if (unseen) return unseen;
    const whole = wholeModulation(record);
    if (!isMeasurable(whole)) return whole;
    const { value, raw, low, high, floor, contributions } = whole;
    if (options?.evidence === false) return measured(value, noEvidence, contributions, floor);
    const charts = [waveformChart(record.waveform, record.analysis)];
    const notes = { low, high, 'raw-modulation': raw };
    return measured(value, { charts, notes }, contributions, floor);
  },
};
