import { quietNoise } from '../../analysis/noise.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { type Edge, edges } from '../../signal/edges.ts';
import { type PulseLevels, pulseLevels } from '../../signal/pulse-levels.ts';
import { sampleAt } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';
import type { Waveform } from '../../waveform.ts';

/** Pulses of a current: its two levels and the crossings of the middle. */
export interface Transitions {
  readonly levels: PulseLevels;
  readonly edges: readonly Edge[];
  readonly noise: number;
}

/** Levels and edges of a switched current, or why there are none. */
export function transitions(waveform: Waveform): Transitions | NotMeasurable {
  const noise = quietNoise(waveform);
  const levels = pulseLevels(waveform.samples, noise);
  if (!levels) {
    const { highest, lowest } = statistics(waveform.samples);
    // Changes from sample to sample that are no two levels: too fast for the record, or noise.
    if (highest - lowest > 0.2 * highest)
      return notMeasurable('unresolved', { note: 'no two levels stand out' });
    return notMeasurable('no-edge', { note: 'the current stands at one level' });
  }
  // A ripple that does not come near zero is no pulse; nor are pulses that a slow digitiser has averaged.
  if (levels.low > 0.5 * levels.high) {
    return notMeasurable('unresolved', { note: 'the current does not go off between its levels' });
  }
  const hysteresis = Math.max(0.2 * (levels.high - levels.low), 3 * noise);
  const found = edges(waveform, levels.middle, hysteresis);
  return found.length === 0 ? notMeasurable('no-edge') : { levels, edges: found, noise };
}

/**
 * Duration of one edge between 10 % and 90 % of the step, s; null where the record ends before it does.
 * The crossings next to the middle count, so ripple on the top does not matter.
 */
export function edgeDuration(
  { samples, rate }: Waveform,
  { index, rising }: Edge,
  { low, high }: PulseLevels,
): number | null {
  const tenth = low + 0.1 * (high - low);
  const most = low + 0.9 * (high - low);
  const lower = cross(samples, index, rising ? -1 : 1, tenth, false);
  const upper = cross(samples, index, rising ? 1 : -1, most, true);
  return lower === null || upper === null ? null : Math.abs(upper - lower) / rate;
}

/**
 * Index (with fraction) at which the samples pass `level`, going from `index` in a direction; the first sample looked at lies on
 * the other side of the middle, and so of the level.
 */
function cross(
  samples: Waveform['samples'],
  index: number,
  direction: 1 | -1,
  level: number,
  upwards: boolean,
): number | null {
  let at = direction === 1 ? index - 1 : index;
  for (; at >= 0 && at < samples.length; at += direction) {
    const value = sampleAt(samples, at);
    if (upwards ? value < level : value > level) continue;
    const before = sampleAt(samples, at - direction);
    return at - direction + (direction * (level - before)) / (value - before);
  }
  return null;
}
