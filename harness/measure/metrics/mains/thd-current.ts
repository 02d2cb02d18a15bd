import { mainsChart } from '../../charts/mains-charts.ts';
import { harmonicNotes, harmonics } from '../../features/mains/harmonics.ts';
import { mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Total harmonic distortion of the mains current: rms of the harmonics 2..40 / rms of the fundamental.
 * Inputs: mains current (A); mains voltage (V), where recorded, tells the periods. Output: ratio.
 * Not measurable: no mains frequency, no fundamental.
 * Source: IEC 61000-3-2 3 (definition, harmonics to the 40th).
 */
export const thdCurrent: Metric = {
  id: 'thd-current',
  title: 'Harmonic distortion of the mains current',
  family: 'mains',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: mainsNeed,
  parameters: [],
  source: 'iec-61000-3-2',
  blindTo: ['scale', 'time-base', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const record = mainsRecord(observation);
    if (!isMeasurable(record)) return record;
    const spectrum = harmonics(record.current, record.periods);
    const first = spectrum.fundamental.rms;
    if (!(first > 0)) return notMeasurable('dark', { note: 'no mains current' });
    const rest = Math.sqrt(spectrum.byOrder.slice(2).reduce((sum, { rms }) => sum + rms * rms, 0));
    const notes = { 'mains-frequency': record.periods.frequency, ...harmonicNotes(spectrum) };
    return measured(rest / first, evidence ? { charts: [mainsChart(record)], notes } : noEvidence);
  },
};
