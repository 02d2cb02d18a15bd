import { inputPower } from '../../features/mains/input-power.ts';
import { evenly, ownReports } from '../../features/reported/own-reports.ts';
import type { Metric } from '../../metric.ts';
import { inputPowerNeed } from '../../needs.ts';
import { isMeasurable, measured, noEvidence, notMeasurable } from '../../outcome.ts';

/**
 * Active energy that the lamp counts between its first and its last report in the window, relative to what it takes from its
 * supply between the two.
 * Inputs: two reports of active energy (J) at least; current (A) and voltage (V) of the mains or of the supply, sampled together
 * over all of it. Output: ratio, 0 for a lamp that counts truly, positive where it counts too much.
 * Not measurable: fewer than two reports in the window, no power between them; as for input-power.
 * A meter whose steps are coarse beside the energy shows as uncertainty.
 * Fooled by: a window that is short beside the steps of the meter; power taken before the first report or after the
 * last; current and voltage that are not recorded at the lamp.
 * Source: IEC 62386-252 (active energy in memory bank 202; from memory).
 */
export const reportedEnergyError: Metric = {
  id: 'reported-energy-error',
  title: 'Error of the active energy that the lamp reports',
  family: 'control',
  unit: '1',
  dimension: 'ratio',
  shown: '%',
  needs: inputPowerNeed,
  parameters: [],
  source: 'iec-62386-252',
  compute(observation, { evidence = true } = {}) {
    const reports = ownReports(observation, 'active-energy');
    const [first, last] = [reports[0], reports.at(-1)];
    if (!first || !last || first === last)
      return notMeasurable('no-record', {
        note: 'active-energy was not asked for twice in the window',
      });
    const [from, to] = [(first.from + first.to) / 2, (last.from + last.to) / 2];
    const power = inputPower({ ...observation, window: { from, to } });
    if (!isMeasurable(power)) return power;
    const { active, hidden, doubt } = power;
    if (!(active > hidden))
      return notMeasurable('below-noise', { note: 'the lamp takes no power' });
    const energy = active * (to - from);
    const reported = last.value - first.value;
    const ratio = reported / energy;
    const notes = { reported, measured: energy, over: to - from };
    const instants = evenly(Math.hypot(first.to - first.from, last.to - last.from));
    return measured(ratio - 1, evidence ? { charts: [], notes } : noEvidence, [
      { name: 'steps of the reports', standard: (Math.SQRT2 * evenly(last.resolution)) / energy },
      { name: 'instants of the reports', standard: (ratio * instants) / (to - from) },
      { name: 'codes of the current', standard: (ratio * hidden) / active },
      ...doubt.map((one) => ({ ...one, standard: (ratio * one.standard) / active })),
    ]);
  },
};
