import type { Waveform } from './waveform.ts';

/** Samples of one stretch that is looked at alone. */
const stretch = 64;
/** The quietest tenth of the stretches counts: there the modulator disturbs least. */
const quietest = 0.1;

/**
 * White noise of one sample in the record's unit, seen where the record is quietest: rms of the differences between
 * neighbouring samples / sqrt(2), per stretch of 64 samples, tenth percentile. An estimate for weights and for
 * choosing what can be resolved, too high where a pulse train is everywhere.
 */
export function quietNoise({ samples }: Pick<Waveform, 'samples'>): number {
  const size = Math.min(stretch, samples.length);
  const found: number[] = [];
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 4000));
  for (let first = 0; first + size <= samples.length && size > 1; first += stride) {
    let sum = 0;
    for (let index = first + 1; index < first + size; index++) {
      sum += (samples[index]! - samples[index - 1]!) ** 2;
    }
    found.push(Math.sqrt(sum / (2 * (size - 1))));
  }
  found.sort((a, b) => a - b);
  return found[Math.floor(quietest * found.length)] ?? 0;
}
