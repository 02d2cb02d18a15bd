import { memoiseSamples } from './memoise.ts';
import { normalQuantile } from './normal-quantile.ts';
import { quickselect } from './quickselect.ts';
import { indexAt, type Samples, valueAt } from './samples.ts';

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
  const spread = step > 0 ? steppedSpread(step) : smoothSpread;
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 2000));
  const found = new Float64Array(Math.floor((samples.length - size) / stride) + 1);
  for (let place = 0; place < found.length; place++) {
    const first = place * stride;
    for (let index = 1; index < size; index++) {
      differences[index - 1] = Math.abs(samples[first + index]! - samples[first + index - 1]!);
    }
    found[place] = spread(differences) / Math.SQRT2;
  }
  // A single stretch is no percentile.
  return quickselect(found, Math.floor(quietest * found.length)) / (found.length > 1 ? tenth : 1);
}

/** Standard deviation of normal differences from their median size. Puts them in another order. */
function smoothSpread(differences: Float64Array): number {
  return quickselect(differences, differences.length >> 1) / normalQuantile(0.75);
}

/** Nearly all differences within half a step: what noise there is, rounding has swallowed. */
const swallowed = 0.97;
/** Where half of the differences are larger, in steps, rounding does not matter. */
const mostSteps = 255;

/**
 * Differences of rounded samples come in whole steps, and their median jumps by a step: so it is told from the part of them
 * that lies below the border between two steps nearest to it.
 */
function steppedSpread(step: number): (differences: Float64Array) => number {
  const counts = new Int32Array(mostSteps + 2);
  const perUnit = 1 / step;
  return (differences) => {
    const count = differences.length;
    counts.fill(0);
    for (let k = 0; k < count; k++) {
      const steps = valueAt(differences, k) * perUnit;
      const bin = steps < mostSteps ? (steps + 0.5) | 0 : mostSteps + 1;
      counts[bin] = indexAt(counts, bin) + 1;
    }
    let median = 0;
    let [lower, upper] = [0, indexAt(counts, 0)];
    while (upper <= count >> 1) {
      lower = upper;
      upper += indexAt(counts, ++median);
    }
    if (median > mostSteps) return smoothSpread(differences);
    const isLowerNearer =
      median > 0 && Math.abs(lower / count - 0.5) < Math.abs(upper / count - 0.5);
    const below = (isLowerNearer ? lower : upper) / count;
    const border = (isLowerNearer ? median - 0.5 : median + 0.5) * step;
    return below >= swallowed ? 0 : border / quantileOf(below);
  };
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
