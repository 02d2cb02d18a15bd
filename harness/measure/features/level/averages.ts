import { hannNoise, hannTrack } from '../../analysis/hann-mean.ts';
import type { Parameter } from '../../metric.ts';
import { lightNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isRecord, windowOf } from '../../observe.ts';
import { type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { quietNoise } from '../../signal/quiet-noise.ts';
import { duration, type Waveform } from '../../waveform.ts';

/** A steady level as a series of averages, each over `smoothing`. */
export interface Averages {
  readonly times: readonly number[];
  readonly values: readonly number[];
  /** All in the record's unit. */
  readonly mean: number;
  /** What white noise of the sensor alone makes an average scatter by (rms). */
  readonly noise: number;
  readonly waveform: Waveform;
}

/** `smoothing` as a parameter; the default takes out what the eye does not follow. */
export function smoothingParameter(seconds: number): Parameter {
  return {
    name: 'smoothing',
    kind: 'time',
    default: seconds,
    about: 'width of the window that the light is averaged over',
  };
}

/** Averages that a statement about steadiness needs. */
const fewest = 10;

/** Averages over the window, half a smoothing apart; the level has to be above their noise. */
export function averagesIn(observation: Observation): Averages | NotMeasurable {
  const waveform = windowOf(observation, lightNeed);
  if (!isRecord(waveform)) return waveform;
  const { rate, start } = waveform;
  const width = Math.max(Number(observation.parameters['smoothing'] ?? 0.05), 1 / rate);
  const length = duration(waveform);
  const needed = ((fewest + 1) / 2) * width;
  if (length < needed) return notMeasurable('too-short', { found: length, needed, unit: 's' });
  const track = hannTrack(waveform, { from: start, to: start + length }, width, width / 2);
  const mean = track.values.reduce((sum, value) => sum + value, 0) / track.values.length;
  const noise = (hannNoise * quietNoise(waveform)) / Math.sqrt(track.width * rate);
  if (!(mean > 3 * (noise / Math.sqrt(track.values.length))) || mean <= 0) {
    return notMeasurable('dark', { found: mean, needed: 3 * noise, unit: waveform.unit });
  }
  return { times: track.times, values: track.values, mean, noise, waveform };
}
