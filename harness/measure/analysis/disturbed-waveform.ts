import { addDeviates } from '../signal/deviates.ts';
import type { Samples } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';

/** What errors make of the samples: value' = value * gain + offset + noise. */
export interface SampleError {
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

/**
 * A waveform with an error given to its samples. They are computed when somebody reads them: an analysis that knows what
 * an error does to its result (to a mean, say) takes the record and the error instead.
 */
export interface DisturbedWaveform extends Waveform {
  /** As it was recorded, with the same rate and start. */
  readonly recorded: Waveform;
  readonly error: SampleError;
}

/** Range and step move with the samples, so that exactly the same ones count as clipped. */
export function disturbedWaveform(recorded: Waveform, error: SampleError): Waveform {
  const { gain, offset, noise } = error;
  if (gain === 1 && offset === 0 && !noise) return recorded;
  const { range, step } = recorded;
  let samples: Float64Array | undefined;
  const waveform: Waveform = {
    ...recorded,
    ...(range && { range: { low: range.low * gain + offset, high: range.high * gain + offset } }),
    ...(step !== undefined && { step: step * gain }),
    get samples() {
      return (samples ??= disturbedSamples(recorded.samples, error));
    },
  };
  // Not enumerable: a copy with other samples must not inherit where these came from.
  return Object.defineProperties(waveform, {
    recorded: { value: recorded },
    error: { value: error },
  });
}

export function isDisturbed(waveform: object): waveform is DisturbedWaveform {
  return 'recorded' in waveform;
}

/** The same with gain and offset alone. */
export function withoutNoise(waveform: Waveform): Waveform {
  if (!isDisturbed(waveform) || !waveform.error.noise) return waveform;
  const { gain, offset } = waveform.error;
  return disturbedWaveform(waveform.recorded, { gain, offset });
}

/** Always float64: a relative change of 1e-6 would drown in the rounding of float32. */
export function disturbedSamples(
  samples: Samples,
  { gain, offset, noise }: SampleError,
): Float64Array {
  const disturbed = new Float64Array(samples.length);
  if (gain === 1 && offset === 0) disturbed.set(samples);
  else for (let k = 0; k < samples.length; k++) disturbed[k] = samples[k]! * gain + offset;
  if (noise) addDeviates(disturbed, noise.standard, noise.seed, offsetInBuffer(samples));
  return disturbed;
}

/** Where samples begin within the record that they are part of. */
export function offsetInBuffer({ byteOffset, BYTES_PER_ELEMENT }: Samples): number {
  return byteOffset / BYTES_PER_ELEMENT;
}
