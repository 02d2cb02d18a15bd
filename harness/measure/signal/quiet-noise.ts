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
  const spread = step > 0 ? steppedSpread(size, step) : smoothSpread(size);
  // Long records: a few thousand stretches say as much as all of them.
  const stride = Math.max(size, Math.floor(samples.length / 2000));
  const found = new Float64Array(Math.floor((samples.length - size) / stride) + 1);
  for (let place = 0; place < found.length; place++)
    found[place] = spread(samples, place * stride) / Math.SQRT2;
  // A single stretch is no percentile.
  return quickselect(found, Math.floor(quietest * found.length)) / (found.length > 1 ? tenth : 1);
}

/** Standard deviation of the differences between neighbours in the stretch that begins at a sample, as if they were normal. */
type Spread = (samples: Samples, first: number) => number;

/** From their median size. */
function smoothSpread(size: number): Spread {
  const differences = new Float64Array(size - 1);
  const middle = differences.length >> 1;
  return (samples, first) => {
    for (let k = 0; k < differences.length; k++)
      differences[k] = Math.abs(samples[first + k + 1]! - samples[first + k]!);
    return quickselect(differences, middle) / normalQuantile(0.75);
  };
}

/** Nearly all differences within half a step: what noise there is, rounding has swallowed. */
const swallowed = 0.97;
/** Where half of the differences are larger, in steps, rounding does not matter. */
const mostSteps = 255;

/**
 * Differences of rounded samples come in whole steps, and their median jumps by a step: so it is told from the part of them
 * that lies below the border between two steps nearest to it.
 */
function steppedSpread(size: number, step: number): Spread {
  const count = size - 1;
  const middle = count >> 1;
  const counts = new Uint16Array(mostSteps + 2);
  const perUnit = 1 / step;
  const smooth = smoothSpread(size);
  return (samples, first) => {
    counts.fill(0);
    let before = samples[first]!;
    for (let k = 1; k <= count; k++) {
      const sample = samples[first + k]!;
      const steps = Math.abs(sample - before) * perUnit;
      counts[steps < mostSteps ? (steps + 0.5) | 0 : mostSteps + 1]!++;
      before = sample;
    }
    let median = 0;
    let [lower, upper] = [0, counts[0]!];
    while (upper <= middle) {
      lower = upper;
      upper += counts[++median]!;
    }
    if (median > mostSteps) return smooth(samples, first);
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
