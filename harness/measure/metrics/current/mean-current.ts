import { quietNoise } from '../../analysis/noise.ts';
import { type MeanLevel, meanDoubt, meanLevel } from '../../features/level/mean-level.ts';
import type { Metric } from '../../metric.ts';
import { currentNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, measured, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { pulseLevels } from '../../signal/pulse-levels.ts';
import { statistics } from '../../signal/statistics.ts';
import { soundPart } from '../../subject/sound-record.ts';

/**
 * Mean LED current in the window: of all of it, or with `while: on` only of the time in which the modulator is on
 * (samples above three quarters of the way from the low to the high level).
 * Inputs: LED current (A). Output: A.
 * Not measurable: no sound samples; `while: on` and no two levels and no current.
 * Fooled by: the zero of the probe, at low level; a window that holds no whole number of the modulator's periods.
 * Source: common practice, no source; I_avg = I_pk - ripple / 2 holds for the mean while on.
 */
export const meanCurrent: Metric = {
  id: 'mean-current',
  title: 'Mean LED current',
  family: 'current',
  unit: 'A',
  dimension: 'current',
  shown: 'mA',
  needs: currentNeed,
  parameters: [
    {
      name: 'while',
      kind: ['always', 'on'],
      default: 'always',
      about: 'mean over all time, or over the time in which the modulator is on',
    },
  ],
  source: 'common-practice',
  blindTo: ['time-base'],
  statesNoise: true,
  averages: true,
  compute(observation) {
    const mean =
      observation.parameters['while'] === 'on'
        ? meanWhileOn(observation)
        : meanLevel(observation, currentNeed, observation.window);
    if (!isMeasurable(mean)) return mean;
    return measured(mean.value, undefined, meanDoubt(mean, 'scatter within the window'));
  },
};

function meanWhileOn(observation: Observation): MeanLevel | NotMeasurable {
  const waveform = soundPart(observation, currentNeed);
  if (!isMeasurable(waveform)) return waveform;
  const levels = pulseLevels(waveform.samples, quietNoise(waveform));
  const { highest } = statistics(waveform.samples);
  if (highest <= 0) return notMeasurable('dark', { note: 'no current in the window' });
  // Without a low level the current is on all the time, ripple and all; a deep ripple is no modulator.
  const threshold =
    levels && levels.low < 0.2 * levels.high ? levels.low + 0.75 * (levels.high - levels.low) : 0;
  let sum = 0;
  let square = 0;
  let count = 0;
  for (const value of waveform.samples) {
    if (value < threshold) continue;
    sum += value;
    square += value * value;
    count++;
  }
  const value = sum / count;
  // Only samples of the pulses' tops count: their edges do not matter.
  return {
    value,
    standard: Math.sqrt(Math.max(0, square / count - value * value) / count),
    edges: 0,
  };
}
