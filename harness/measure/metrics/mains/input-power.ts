import { inputPower as powerOf } from '../../features/mains/input-power.ts';
import type { Metric } from '../../metric.ts';
import { inputPowerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence } from '../../outcome.ts';

/**
 * Active power that the lamp takes from the mains, over whole periods, or from its DC supply, over the window: standby power where it
 * is off.
 * Inputs: current (A) and voltage (V) of the mains or of the supply, sampled together, at least 0.2 s. Output: W.
 * Not measurable: one of the two missing, no mains frequency, the supply off.
 * Floor: half a code of the current all in phase with the voltage, where no noise spreads the rounding.
 * Fooled by: the phase of a current transformer, above all in standby with its small power factor; losses of the cable;
 * a standby that wakes up from time to time, outside of the window.
 * Source: IEC 62301 (standby power as the mean of active power; from memory: it asks for minutes of settling and a mains of
 * known distortion, which the bench has to provide).
 */
export const inputPower: Metric = {
  id: 'input-power',
  title: 'Input power',
  family: 'mains',
  unit: 'W',
  dimension: 'power',
  shown: 'W',
  needs: inputPowerNeed,
  parameters: [],
  source: 'iec-62301',
  blindTo: ['time-base'],
  averages: true,
  compute(observation, { evidence = true } = {}) {
    const power = powerOf(observation);
    if (!isMeasurable(power)) return power;
    const { active, hidden, voltage, current, doubt } = power;
    const notes = { 'voltage-rms': voltage, 'current-rms': current };
    return measured(active, evidence ? { charts: [], notes } : noEvidence, doubt, active + hidden);
  },
};
