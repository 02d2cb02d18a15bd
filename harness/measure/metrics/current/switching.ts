import { currentChart } from '../../charts/current-charts.ts';
import { type SwitchingCycles, switchingCycles } from '../../features/current/switching-cycles.ts';
import type { ComputeOptions, Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, noEvidence, type Outcome } from '../../outcome.ts';
import { soundPart } from '../../subject/sound-record.ts';

/**
 * Peak-to-peak ripple of the LED current while the modulator is on, mean over the switching cycles.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: A.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Fooled by: pickup of the switching node by the probe; a bandwidth below some ten times the switching frequency, which
 * rounds the corners.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const rippleCurrent: Metric = {
  id: 'ripple-current',
  title: 'Ripple of the LED current, peak to peak',
  family: 'current',
  unit: 'A',
  dimension: 'current',
  shown: 'mA',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['time-base', 'offset'],
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [cycles.ripple, cycles.standardRipple]);
  },
};

/**
 * Switching frequency of the output stage while the modulator is on.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: Hz.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Fooled by: a rate near a multiple of the switching frequency, where the digitiser has no anti-alias filter; a spread
 * spectrum, of which it tells the mean.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const switchingFrequency: Metric = {
  id: 'switching-frequency',
  title: 'Switching frequency',
  family: 'current',
  unit: 'Hz',
  dimension: 'frequency',
  shown: 'kHz',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['scale', 'offset'],
  averages: true,
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [
      cycles.frequency,
      cycles.standardFrequency,
    ]);
  },
};

/**
 * Time in which the LED current falls in each switching cycle, mean over the cycles.
 * Inputs: LED current (A), several samples on each flank of the ripple. Output: s.
 * Not measurable: no ripple above the noise, too few cycles within one on-time, sampled too slowly.
 * Fooled by: corners that a slow probe rounds; ringing, which looks like a turn.
 * Source: design equations of the fixed off-time stage (data sheets); see fixed-off-time.ts.
 */
export const offTime: Metric = {
  id: 'off-time',
  title: 'Off-time of the output stage',
  family: 'current',
  unit: 's',
  dimension: 'time',
  shown: 'µs',
  needs: currentNeed,
  parameters: [],
  source: 'fixed-off-time',
  blindTo: ['scale', 'offset'],
  compute(observation, options) {
    return cycleOutcome(observation, options, (cycles) => [cycles.offTime, cycles.standardOffTime]);
  },
};

/** One figure of the switching cycles as an outcome: [value, its standard uncertainty]. */
function cycleOutcome(
  observation: Observation,
  { evidence = true }: ComputeOptions = {},
  figure: (cycles: SwitchingCycles) => readonly [number, number],
): Outcome {
  const waveform = soundPart(observation, currentNeed);
  if (!isMeasurable(waveform)) return waveform;
  const cycles = switchingCycles(waveform);
  if (!isMeasurable(cycles)) return cycles;
  const [value, standard] = figure(cycles);
  const contributions = [{ name: 'scatter over the cycles', standard, isNoise: true }];
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
