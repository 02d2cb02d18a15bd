import { hannTrack } from '../../analysis/hann-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import { duration } from '../../analysis/waveform-part.ts';
import type { Parameter } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { hannNoise } from '../../signal/hann.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundPart } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';

/** A steady level as a series of averages, each over `smoothing`. */
export interface Averages {
  readonly times: Float64Array;
  readonly values: Float64Array;
  /** All in the record's unit. */
  readonly mean: number;
  /** What white noise of the sensor alone makes an average scatter by (rms). */
  readonly noise: number;
  /** Of an average, s. */
  readonly width: number;
  readonly waveform: Waveform;
}

/** `smoothing` as a parameter; the default takes out what the eye does not follow. */
export function smoothingParameter(seconds: number): Parameter {
  return {
    name: 'smoothing',
    kind: 'time',
    default: seconds,
    about: 'whole width of the Hann window that the light is averaged over',
  };
}

/** Averages that a statement about steadiness needs. */
const fewest = 10;

const allOfIt = { from: Number.NEGATIVE_INFINITY, to: Number.POSITIVE_INFINITY };

/** Averages over the window, half a smoothing apart; the level has to be above their noise. */
export function averagesIn(observation: Observation): Averages | NotMeasurable {
  const waveform = soundPart(observation, lightNeed);
  if (!isMeasurable(waveform)) return waveform;
  const { rate } = waveform;
  const width = Math.max(Number(observation.parameters['smoothing'] ?? 0.05), 1 / rate);
  const length = duration(waveform);
  const needed = ((fewest + 1) / 2) * width;
  if (length < needed) return notMeasurable('too-short', { found: length, needed, unit: 's' });
  const track = hannTrack(waveform, allOfIt, width, width / 2);
  const mean = track.values.reduce((sum, value) => sum + value, 0) / track.values.length;
  const noise = (hannNoise * quietNoise(waveform)) / Math.sqrt(track.width * rate);
  if (!(mean > 3 * (noise / Math.sqrt(track.values.length)))) {
    return notMeasurable('dark', { found: mean, needed: 3 * noise, unit: waveform.unit });
  }
  return { times: track.times, values: track.values, mean, noise, width: track.width, waveform };
}

/** Instants at which the averages fall below `depth` of their mean. */
export function dropoutsOf({ times, values, mean }: Averages, depth: number): readonly number[] {
  const starts: number[] = [];
  let wasDark = false;
  for (let index = 0; index < values.length; index++) {
    const isDark = valueAt(values, index) < depth * mean;
    if (isDark && !wasDark) starts.push(valueAt(times, index));
    wasDark = isDark;
  }
  return starts;
}

/** Change along the least-squares line over the window and its standard uncertainty, relative to the mean. */
export function driftOf({ times, values, mean }: Averages): {
  readonly change: number;
  readonly standard: number;
} {
  const count = times.length;
  const middle = times.reduce((sum, at) => sum + at, 0) / count;
  const xs = times.map((at) => at - middle);
  const ys = values.map((value) => value - mean);
  const xx = xs.reduce((sum, x) => sum + x ** 2, 0);
  const slope = xs.reduce((sum, x, index) => sum + x * valueAt(ys, index), 0) / xx;
  const rest = ys.reduce((sum, y, index) => sum + (y - slope * valueAt(xs, index)) ** 2, 0);
  const span = valueAt(times, count - 1) - valueAt(times, 0);
  // Half-overlapping averages: 1.6 times the variance of independent ones.
  const variance = (1.6 * rest) / Math.max(1, count - 2) / xx;
  return { change: (slope * span) / mean, standard: (Math.sqrt(variance) * span) / mean };
}
