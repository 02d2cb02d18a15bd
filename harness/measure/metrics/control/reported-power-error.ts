import { inputPower } from '../../features/mains/input-power.ts';
import { evenly, ownReports } from '../../features/reported/own-reports.ts';
import type { Metric } from '../../metric.ts';
import { inputPowerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Active power that the lamp says it takes, relative to what it takes from its supply: mean of its reports in the window
 * against the input power over the window.
 * Inputs: reports of active power (W); current (A) and voltage (V) of the mains or of the supply, sampled together, at least
 * 0.2 s. Output: ratio, 0 for a lamp that says the truth, positive where it says too much.
 * Not measurable: the lamp was not asked in the window, or takes nothing; as for input-power.
 * Fooled by: power that changes within the window, since the lamp reports moments and the bench a mean; losses of the
 * cable between the probe and the lamp.
 * Source: IEC 62386-252 (active power in memory bank 202; from memory).
 */
export const reportedPowerError: Metric = {
  id: 'reported-power-error',
  title: 'Error of the active power that the lamp reports',
  family: 'control',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: inputPowerNeed,
  parameters: [],
  source: 'iec-62386-252',
  blindTo: ['time-base'],
  compute(observation, { evidence = true } = {}) {
    const reports = ownReports(observation, 'active-power');
    if (reports.length === 0)
      return notMeasurable('no-record', { note: 'no active-power was asked for in the window' });
    const power = inputPower(observation);
    if (!isMeasurable(power)) return power;
    const { active, hidden, doubt } = power;
    if (!(active > hidden))
      return notMeasurable('below-noise', { note: 'the lamp takes no power' });
    const reported = reports.reduce((sum, { value }) => sum + value, 0) / reports.length;
    const resolution = Math.max(...reports.map((one) => one.resolution));
    const notes = { reported, measured: active };
    const ratio = reported / active;
    return measured(ratio - 1, evidence ? { charts: [], notes } : noEvidence, [
      // Nobody knows whether the lamp rounds down, up or to the nearest: a step either way.
      { name: 'step of the report', standard: evenly(2 * resolution) / active },
      { name: 'codes of the current', standard: (ratio * hidden) / active },
      ...doubt.map((one) => ({ ...one, standard: (ratio * one.standard) / active })),
    ]);
  },
};
