import { mainsChart } from '../../charts/mains-charts.ts';
import { harmonics } from '../../features/mains/harmonics.ts';
import { windowDoubt } from '../../features/mains/mains-doubt.ts';
import { type MainsRecord, mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';
import type { Waveform } from '../../waveform.ts';

/**
 * Displacement factor: cosine of the angle between the fundamentals of voltage and current.
 * Inputs: mains voltage (V) and mains current (A), sampled together. Output: number, 0..1 (a load).
 * Not measurable: one of the two missing, no mains frequency, no current.
 * Fooled by: a current transformer or probe with a phase of its own; voltage and current that are sampled one after the
 * other.
 * Source: IEC 61000-3-2 (definition), computed.
 */
export const displacementFactor: Metric = {
  id: 'displacement-factor',
  title: 'Displacement factor',
  family: 'mains',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: mainsNeed,
  parameters: [],
  source: 'iec-61000-3-2',
  blindTo: ['scale', 'time-base', 'offset'],
  compute(observation, { evidence = true } = {}) {
    const record = mainsRecord(observation);
    if (!isMeasurable(record)) return record;
    if (!record.voltage) return notMeasurable('no-record', { note: 'no mains-voltage' });
    const { fundamental } = harmonics(record.current, record.periods);
    if (!(fundamental.rms > 0)) return notMeasurable('dark', { note: 'no mains current' });
    const angle = angleIn(record);
    const shown = evidence ? { charts: [mainsChart(record)], notes: { angle } } : noEvidence;
    return measured(Math.cos(angle), shown, [windowDoubt(record, (own) => Math.cos(angleIn(own)))]);
  },
};

/** Between the fundamentals, rad; not a number without a voltage. */
function angleIn({ voltage, current, periods }: MainsRecord): number {
  if (!voltage) return Number.NaN;
  const phaseOf = (waveform: Waveform) => harmonics(waveform, periods).fundamental.phase;
  return phaseOf(voltage) - phaseOf(current);
}
