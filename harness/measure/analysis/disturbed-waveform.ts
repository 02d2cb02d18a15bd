import { addDeviates } from '../signal/deviates.ts';
import type { Waveform } from '../waveform.ts';

/** What errors make of the samples: value' = value * gain + offset + noise. */
export interface Change {
  readonly gain: number;
  /** In the record's unit. */
  readonly offset: number;
  readonly noise?: Noise;
}

/** White noise: its rms in the record's unit, and what it is drawn from. */
export interface Noise {
  readonly standard: number;
  readonly seed: number;
}

interface Origin {
  /** Unchanged, with the same rate and start. */
  readonly waveform: Waveform;
  readonly change: Change;
  /** Cuts of the changed waveform, so that the same part is computed once. */
  readonly parts: Map<string, Waveform>;
}

// Beside the waveforms, not in them: a copy with other samples must not inherit where these came from.
const origins = new WeakMap<object, Origin>();

/**
 * A waveform with changed samples, which are computed when somebody reads them: a reduction that knows what a change
 * does to its result (a mean, say) asks `originOf` and leaves them alone. Range and step move with the samples, so that
 * exactly the same ones count as clipped.
 */
export function changedWaveform(waveform: Waveform, change: Change): Waveform {
  const { gain, offset, noise } = change;
  if (gain === 1 && offset === 0 && !noise) return waveform;
  const { range, step } = waveform;
  let samples: Float64Array | undefined;
  const changed: Waveform = {
    ...waveform,
    ...(range && { range: { low: range.low * gain + offset, high: range.high * gain + offset } }),
    ...(step !== undefined && { step: step * gain }),
    get samples() {
      return (samples ??= changedSamples(waveform.samples, change));
    },
  };
  origins.set(changed, { waveform, change, parts: new Map() });
  return changed;
}

export function originOf(waveform: Pick<Waveform, 'samples'>): Origin | undefined {
  return origins.get(waveform);
}

/** The origin of a waveform of which gain and offset alone were changed. */
export function linearOriginOf(waveform: Waveform): Origin | undefined {
  const origin = origins.get(waveform);
  return origin && !origin.change.noise ? origin : undefined;
}

/** Without the noise that was added, for what noise does not move: whether there is light at all, say. */
export function withoutNoise(waveform: Waveform): Waveform {
  const origin = origins.get(waveform);
  if (!origin?.change.noise) return waveform;
  const { gain, offset } = origin.change;
  return changedWaveform(origin.waveform, { gain, offset });
}

/** Always float64: a relative change of 1e-6 would drown in the rounding of float32. */
export function changedSamples(
  samples: Waveform['samples'],
  { gain, offset, noise }: Change,
): Float64Array {
  const changed = new Float64Array(samples.length);
  if (gain === 1 && offset === 0) changed.set(samples);
  else for (let k = 0; k < samples.length; k++) changed[k] = samples[k]! * gain + offset;
  if (noise) {
    addDeviates(changed, noise.standard, noise.seed, placeOf(samples));
  }
  return changed;
}

/** Where samples begin within the record that they are part of. */
export function placeOf({ byteOffset, BYTES_PER_ELEMENT }: Waveform['samples']): number {
  return byteOffset / BYTES_PER_ELEMENT;
}
