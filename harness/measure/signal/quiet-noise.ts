import { originOf } from './changed-waveform.ts';
import { keptWith } from './kept-with.ts';
import { smallest } from './smallest.ts';
import type { Waveform } from './waveform.ts';

/** Samples of one stretch that is looked at alone. */
const stretch = 64;
/** The quietest tenth of the stretches counts: there the modulator disturbs least. */
const quietest = 0.1;
/** Median of the absolute difference of two normal variables, in their standard deviations: 0.67449 * sqrt(2). */
const medianDifference = 0.95387;

/**
 * White noise of one sample in the record's unit, seen where the record is quietest: median of the differences between
 * neighbouring samples per stretch of 64 samples, tenth percentile over the stretches. Pulses do not disturb it as
 * long as the samples between their edges are the majority somewhere. For weights and for what can be resolved.
 */
export function quietNoise(waveform: Waveform): number {
  const origin = originOf(waveform);
  if (origin) {
    const { gain, noise } = origin.change;
    return Math.hypot(quietNoise(origin.waveform) * gain, noise?.standard ?? 0);
  }
  const { samples } = waveform;
  return keptWith(samples, 'quiet-noise', () => noiseOf(samples));
}

function noiseOf(samples: Waveform['samples']): number {
  const size = Math.min(stretch, samples.length);
  if (size < 2) return 0;
  const differences = new Float64Array(size - 1);
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 2000));
  const found = new Float64Array(Math.floor((samples.length - size) / stride) + 1);
  for (let place = 0; place < found.length; place++) {
    putDifferences(differences, samples, place * stride);
    found[place] = smallest(differences, differences.length >> 1) / medianDifference;
  }
  return smallest(found, Math.floor(quietest * found.length));
}

function putDifferences(
  differences: Float64Array,
  samples: Waveform['samples'],
  first: number,
): void {
  for (let index = 0; index < differences.length; index++) {
    differences[index] = Math.abs(samples[first + index + 1]! - samples[first + index]!);
  }
}
