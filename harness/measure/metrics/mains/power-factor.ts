import { mainsChart } from '../../charts/mains-charts.ts';
import { harmonics } from '../../features/mains/harmonics.ts';
import { attenuation, windowDoubt } from '../../features/mains/mains-doubt.ts';
import { type MainsPower, mainsPower } from '../../features/mains/mains-power.ts';
import { type MainsRecord, mainsRecord } from '../../features/mains/mains-record.ts';
import type { Metric } from '../../metric.ts';
import { mainsNeed } from '../../needs.ts';
import { oneSided } from '../../one-sided.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Power factor: active power / (rms voltage times rms current), over whole periods.
 * Inputs: mains voltage (V) and mains current (A), sampled together. Output: ratio, 1 for a resistor.
 * Not measurable: one of the two missing, no mains frequency, no current.
 * Fooled by: a distorted mains voltage; the phase of a current transformer; a level at which the lamp is dimmed.
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
      [
        windowDoubt(record, factorIn),
        { name: 'averaging over a sample', standard: oneSided * averaged(record, power) },
      ],
    );
  },
};

function factorIn(record: MainsRecord): number {
  const power = mainsPower(record);
  return isMeasurable(power) ? power.powerFactor : Number.NaN;
}

/** By how much the factor is smaller where the samples of the current are means: its harmonics are missing in its rms. */
function averaged({ current, periods }: MainsRecord, power: MainsPower): number {
  const { byOrder } = harmonics(current, periods);
  let missing = 0;
  for (const [order, { rms }] of byOrder.entries())
    if (order > 1) missing += rms ** 2 * (attenuation(current, order * periods.frequency) ** 2 - 1);
  const whole = Math.hypot(power.current, Math.sqrt(missing));
  return power.powerFactor * (1 - power.current / whole);
}
