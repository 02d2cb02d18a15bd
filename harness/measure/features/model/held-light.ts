import { meanTrack } from '../../analysis/mean-track.ts';
import { quietNoise } from '../../analysis/noise.ts';
import type { DarkNoise } from '../../dark-noise.ts';
import type { ModelledLamp } from '../../modelled-lamp.ts';
import { modelledLightNeed } from '../../needs.ts';
import type { Observation } from '../../observation.ts';
import { isMeasurable, type NotMeasurable, notMeasurable } from '../../outcome.ts';
import { valueAt } from '../../signal/samples.ts';
import { soundRecord, subjectRecord } from '../../subject/sound-record.ts';
import type { Waveform } from '../../waveform.ts';
import { type FullLight, fullLight } from './full-light.ts';
import { type AveragedBounds, lightBounds } from './light-bounds.ts';

/** Averages of a subject's light beside what the model allows of them; levels relative to full light. */
export interface HeldLight {
  /** Middle of each average, s. */
  readonly times: Float64Array;
  readonly light: Float64Array;
  /** What the model allows of each average. */
  readonly low: Float64Array;
  readonly high: Float64Array;
  /** The same, widened by all that the bench leaves open: beyond these the light is outside. */
  readonly least: Float64Array;
  readonly most: Float64Array;
  /** Of each average: what noise, zero and single pulses of the modulator leave open. */
  readonly doubt: Float64Array;
  /** White noise of an average, rms. */
  readonly noise: number;
  /** Length of an average, s. */
  readonly width: number;
  /** From average to average, s. */
  readonly spacing: number;
  /** Part of the window in which the model says less than the standards, and why it first does. */
  readonly open: { readonly share: number; readonly why: string } | null;
}

/** Samples that an average has at least. */
const fewest = 4;
/** Averages in the length of one. */
const perWidth = 4;
/** So many standard uncertainties the light may lie outside: of the noise, where the farthest of very many counts; of what is the same for all. */
const farthestNoise = 5;
const certainty = 2;

/** Holds the subject's averaged light in its window against the model. */
export function heldLight(observation: Observation): HeldLight | NotMeasurable {
  const { modelled, window } = observation;
  if (!modelled)
    return notMeasurable('no-record', { note: 'nothing tells what was sent to the lamp' });
  const open = openPart(modelled, window);
  if (open?.share === 1)
    return notMeasurable('out-of-domain', { note: `the light is open all the time: ${open.why}` });
  const record = subjectRecord(observation, modelledLightNeed.signals);
  if (!isMeasurable(record)) return record;
  const waveform = soundRecord(observation, modelledLightNeed);
  if (!isMeasurable(waveform)) return waveform;
  const full = fullLight(observation, modelled, record);
  if (!isMeasurable(full)) return full;
  const wanted = widthFor(observation, modelled, waveform);
  const { times, values, width } = meanTrack(waveform, window, wanted, perWidth);
  if (times.length < 2)
    return notMeasurable('too-short', {
      ...{ found: window.to - window.from, needed: 2 * wanted, unit: 's' },
    });
  const input = modelled.inputs.get(record.capture) ?? {};
  const instant = certainty * Math.hypot(modelled.standardInstant, input.standardStart ?? 0);
  const step = wanted / perWidth;
  const cells = Math.ceil((window.to - window.from) / step) + 4 * perWidth;
  const grid = { from: window.from - 2 * wanted, step, cells };
  const bounds = lightBounds(modelled, observation, grid, instant, { times, width });
  const white = (input.noise ?? quietNoise(waveform)) / Math.sqrt(width * waveform.rate);
  const same = Math.hypot(input.standardOffset ?? 0, (waveform.step ?? 0) / Math.sqrt(12));
  const leftOpen =
    farthestNoise * white +
    certainty * same +
    (input.dark ? pickupIn(input.dark, width, window.to - window.from) : 0);
  return {
    ...bounds,
    ...widened(bounds, width, {
      full,
      absolute: leftOpen / full.value + modelled.pulse / width,
      modelled,
    }),
    times,
    light: relativeTo(full, values),
    noise: white / full.value,
    width,
    spacing: valueAt(times, 1) - valueAt(times, 0),
    open,
  };
}

function relativeTo({ value: full }: FullLight, values: Float64Array): Float64Array {
  const light = new Float64Array(values.length);
  for (let k = 0; k < light.length; k++) light[k] = valueAt(values, k) / full;
  return light;
}

/**
 * Farthest that the average of an input is moved by what its dark wiring is known to record, in its unit: all lines at once, and of
 * noise that falls with frequency and of drift what lies between an average and the window.
 */
function pickupIn({ slow, lines, drift }: DarkNoise, width: number, length: number): number {
  const hum = lines.reduce((sum, { amplitude }) => sum + amplitude, 0);
  const falling = Math.sqrt(slow * Math.log(Math.max(1, length / width)));
  return hum + farthestNoise * falling + certainty * drift * length;
}

/** Whole periods of the modulator where it has any. */
function widthFor(
  { parameters }: Observation,
  { period }: ModelledLamp,
  { rate }: Waveform,
): number {
  const least = Math.max(Number(parameters['smoothing'] ?? 0), fewest / rate);
  return period === undefined ? least : Math.ceil(least / period - 1e-9) * period;
}

interface Leeway {
  readonly full: FullLight;
  /** Relative to full light. */
  readonly absolute: number;
  readonly modelled: ModelledLamp;
}

function widened(
  { low, high }: AveragedBounds,
  width: number,
  { full: { tolerance }, absolute, modelled: { period } }: Leeway,
): Pick<HeldLight, 'least' | 'most' | 'doubt'> {
  // An average has whole samples: it may hold a part of a pulse twice, or miss it.
  const beside = period === undefined ? 0 : Math.abs(width - Math.round(width / period) * period);
  const count = high.length;
  const doubt = new Float64Array(count);
  const least = new Float64Array(count);
  const most = new Float64Array(count);
  for (let k = 0; k < count; k++) {
    const highest = valueAt(high, k);
    const open = absolute + Math.min(beside, highest * (period ?? 0)) / width;
    doubt[k] = open;
    least[k] = valueAt(low, k) * (1 - tolerance) - open;
    most[k] = highest * (1 + tolerance) + open;
  }
  return { doubt, least, most };
}

/** Instants at which the model is asked why it says little. */
const looks = 400;

function openPart(
  { whyWide }: ModelledLamp,
  { from, to }: Observation['window'],
): HeldLight['open'] {
  let [count, first] = [0, ''];
  for (let look = 0; look < looks; look++) {
    const why = whyWide(from + ((look + 0.5) / looks) * (to - from));
    if (why !== null && count++ === 0) first = why;
  }
  return count === 0 ? null : { share: count / looks, why: first };
}
