import { memoiseSamples } from './memoise.ts';
import { normalQuantile } from './normal-quantile.ts';
import { quickselect } from './quickselect.ts';
import type { Samples } from './samples.ts';

/** Samples of one stretch that is looked at alone. */
const stretch = 64;
/** The quietest tenth of the stretches counts: there the modulator disturbs least. */
const quietest = 0.1;
/** What the tenth percentile over stretches of white noise alone comes to, in their true value (simulated). */
const tenth = 0.81;

/**
 * White noise of one sample, seen where the record is quietest: the noise that the median of the differences between
 * neighbouring samples speaks of, per stretch of 64 samples; tenth percentile over the stretches. Pulses do not disturb it
 * as long as the samples between their edges are the majority somewhere. Rounding counts among the noise.
 *
 * @param step of the rounding, in the samples' unit; 0 where there is none
 */
export const quietStretchNoise = memoiseSamples(noiseOf);

function noiseOf(samples: Samples, step: number): number {
  const size = Math.min(stretch, samples.length);
  if (size < 2) return 0;
  const differences = new Float64Array(size - 1);
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 2000));
  const found = new Float64Array(Math.floor((samples.length - size) / stride) + 1);
  for (let place = 0; place < found.length; place++) {
    const first = place * stride;
    for (let index = 1; index < size; index++) {
      differences[index - 1] = Math.abs(samples[first + index]! - samples[first + index - 1]!);
    }
    found[place] = spread(differences, step) / Math.SQRT2;
  }
  // A single stretch is no percentile.
  return quickselect(found, Math.floor(quietest * found.length)) / (found.length > 1 ? tenth : 1);
}

/** Nearly all differences within half a step: what noise there is, rounding has swallowed. */
const swallowed = 0.97;

/**
 * Standard deviation of normal differences from their median size. Differences of rounded samples come in whole steps, and
 * their median jumps by a step: so it is told from the part of them that lies below the border between two steps nearest to it.
 */
function spread(differences: Float64Array, step: number): number {
  const median = quickselect(differences, differences.length >> 1);
  if (step <= 0) return median / normalQuantile(0.75);
  let border = (Math.round(median / step) + 0.5) * step;
  let below = partBelow(differences, border);
  if (border > step) {
    const lower = partBelow(differences, border - step);
    if (Math.abs(lower - 0.5) < Math.abs(below - 0.5)) {
      border -= step;
      below = lower;
    }
  }
  return below >= swallowed ? 0 : border / quantileOf(below);
}

/** By the part that lies within: thousands of stretches have one of a few dozen. */
const quantiles = new Map<number, number>();

/** So many standard deviations on either side of the mean this part of normal values lies. */
function quantileOf(part: number): number {
  const known = quantiles.get(part);
  if (known !== undefined) return known;
  const quantile = normalQuantile((1 + part) / 2);
  quantiles.set(part, quantile);
  return quantile;
}

function partBelow(values: Float64Array, border: number): number {
  let count = 0;
  for (let k = 0; k < values.length; k++) if (values[k]! < border) count++;
  return count / values.length;
}
