import { currentChart } from '../../charts/current-charts.ts';
import { currentNeed } from '../../features/current/current-need.ts';
import { type SwitchingCycles, switchingCycles } from '../../features/current/switching-cycles.ts';
import type { ComputeOptions } from '../../metric.ts';
import type { Observation } from '../../observation.ts';
import { isRecord, windowOf } from '../../observe.ts';
import { measured, noEvidence, type Outcome } from '../../outcome.ts';

/** One figure of the switching cycles as an outcome: [value, its standard uncertainty]. */
export function cycleOutcome(
  observation: Observation,
  { evidence = true }: ComputeOptions = {},
  figure: (cycles: SwitchingCycles) => readonly [number, number],
): Outcome {
  const waveform = windowOf(observation, currentNeed);
  if (!isRecord(waveform)) return waveform;
  const cycles = switchingCycles(waveform);
  if (!isRecord(cycles)) return cycles;
  const [value, standard] = figure(cycles);
  const contributions = [{ name: 'scatter over the cycles', standard }];
  return measured(value, evidence ? evidenceOf(waveform, cycles) : noEvidence, contributions);
}

function evidenceOf(waveform: Parameters<typeof currentChart>[0], cycles: SwitchingCycles) {
  const { peaksAt, peak, valley, ripple, frequency, offTime, onTime } = cycles;
  const from = (peaksAt[0] ?? waveform.start) - 1 / frequency;
  const chart = currentChart(waveform, 'Switching cycles', { from, to: from + 8 / frequency }, [
    { name: 'peak', level: peak },
    { name: 'valley', level: valley },
  ]);
  const notes = {
    cycles: cycles.cycles,
    peak,
    valley,
    ripple,
    'off-time': offTime,
    'on-time': onTime,
    'switching-frequency': frequency,
  };
  return { charts: [chart], notes };
}
