import { deviates } from '../signal/deviates.ts';
import { hannMeanOfSamples, hannNoise } from '../signal/hann.ts';
import { memoiseSamples } from '../signal/memoise.ts';
import type { Samples } from '../signal/samples.ts';
import type { Waveform } from '../waveform.ts';
import { analysisOf } from './analysis.ts';
import { isDisturbed, type Noise, offsetInBuffer, withoutNoise } from './disturbed-waveform.ts';

/** Plain mean over the whole of a (windowed) waveform, in its unit; NaN when it is empty. */
export function plainMean(waveform: Waveform): number {
  if (isDisturbed(waveform) && !waveform.error.noise) {
    const { gain, offset } = waveform.error;
    return plainMean(waveform.recorded) * gain + offset;
  }
  return plainMeanOfSamples(waveform.samples);
}

const plainMeanOfSamples = memoiseSamples((samples) => {
  let sum = 0;
  for (let index = 0; index < samples.length; index++) sum += samples[index]!;
  return sum / samples.length;
});

/** The mean without the noise that an error adds: for whether there is light, which noise does not decide. */
export function noiselessMean(waveform: Waveform): number {
  return analysisOf(withoutNoise(waveform)).statistics.mean;
}

/**
 * Hann-weighted mean over the whole of a (windowed) waveform, in its unit; NaN when it is empty. Noise that was added to a
 * record moves the mean by what it does to a mean of so many samples; means of two stretches are moved independently.
 */
export function hannMean(waveform: Waveform): number {
  if (!isDisturbed(waveform)) return rememberedHannMean(waveform.samples);
  const { recorded, error } = waveform;
  const mean = hannMean(recorded) * error.gain + error.offset;
  return error.noise ? mean + noiseOfMean(recorded.samples, error.noise) : mean;
}

const rememberedHannMean = memoiseSamples(hannMeanOfSamples);

function noiseOfMean(samples: Samples, { standard, seed }: Noise): number {
  const count = samples.length;
  const [drawn = 0] = deviates(1, seed ^ Math.imul(count, 0x9e3779b1), offsetInBuffer(samples));
  return count === 0 ? 0 : (count === 1 ? 1 : hannNoise / Math.sqrt(count)) * standard * drawn;
}
