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
export function quietNoise({ samples }: Pick<Waveform, 'samples'>): number {
  const size = Math.min(stretch, samples.length);
  if (size < 2) return 0;
  const found: number[] = [];
  const differences = new Float64Array(size - 1);
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 2000));
  for (let first = 0; first + size <= samples.length; first += stride) {
    for (let index = 1; index < size; index++) {
      differences[index - 1] = Math.abs(samples[first + index]! - samples[first + index - 1]!);
    }
    differences.sort();
    found.push(differences[differences.length >> 1]! / medianDifference);
  }
  found.sort((a, b) => a - b);
  return found[Math.floor(quietest * found.length)] ?? 0;
}
