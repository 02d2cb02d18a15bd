import { mainsChart } from '../../charts/mains-charts.ts';
import { mainsPower } from '../../features/mains/mains-power.ts';
import { mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Power factor: active power / (rms voltage times rms current), over whole periods.
 * Inputs: mains voltage (V) and mains current (A), sampled together. Output: ratio, 1 for a resistor.
 * Not measurable: one of the two missing, no mains frequency, no current.
 * Source: IEC 61000-3-2 (definition of the circuit power factor).
 */
export const powerFactor: Metric = {
  id: 'power-factor',
  title: 'Power factor',
  family: 'mains',
  unit: '1',
  dimension: 'number',
  shown: '1',
  needs: mainsNeed,
  parameters: [],
  source: 'iec-61000-3-2',
  blindTo: ['scale', 'time-base'],
  compute(observation, { evidence = true } = {}) {
    const record = mainsRecord(observation);
    if (!isMeasurable(record)) return record;
    const power = mainsPower(record);
    if (!isMeasurable(power)) return power;
    const { active, voltage, current } = power;
    const notes = { 'active-power': active, 'voltage-rms': voltage, 'current-rms': current };
    return measured(
      power.powerFactor,
      evidence ? { charts: [mainsChart(record)], notes } : noEvidence,
    );
  },
};
