import { type Samples, sampleAt } from './samples.ts';

/** All in the record's unit. */
export interface MeanDeviation {
  readonly mean: number;
  /** mean|x - mean| over the whole periods. */
  readonly deviation: number;
  /** What white noise has added to it. */
  readonly rise: number;
  /** How much of it may be lost in samples that an edge through the mean falls into. */
  readonly edges: number;
  /** How much of it is lost where pulses of a sample or two are far shorter than that. */
  readonly pulses: number;
}

/**
 * Mean and mean absolute deviation over as many whole periods as the record holds; the last sample counts with the part
 * of it that belongs to the last period.
 *
 * @param period samples per period, not a whole number in general; at most the record's length
 * @param noise rms of one sample
 */
export function meanDeviation(samples: Samples, period: number, noise: number): MeanDeviation {
  const length = Math.min(samples.length, Math.floor(samples.length / period + 1e-6) * period);
  const whole = Math.min(samples.length, Math.floor(length + 1e-9));
  const part = whole < samples.length ? Math.max(0, length - whole) : 0;
  const last = part > 0 ? sampleAt(samples, whole) : 0;
  let sum = part * last;
  for (let k = 0; k < whole; k++) sum += samples[k]!;
  const mean = sum / length;
  let deviation = part * Math.abs(last - mean);
  let near = 0;
  let edges = 0;
  let pulses = 0;
  let second = sampleAt(samples, 0) - mean;
  let [before, here] = [second, second];
  let after = samples.length > 1 ? sampleAt(samples, 1) - mean : here;
  for (let k = 0; k < whole; k++) {
    const next = k + 2 < samples.length ? samples[k + 2]! - mean : after;
    const size = Math.abs(here);
    deviation += size;
    if (size < noise) near++;
    // The neighbours lie on either side of the mean: an edge fell into this sample or next to it.
    if (before * after < 0)
      edges += isSmooth(second, before, after, next)
        ? Math.abs(after - before) / 2 / kink
        : lostInEdge(before, here, after);
    // Samples alone on their side of the mean may hold a pulse far shorter than them, and the other level for the rest.
    if (before * here < 0) {
      if (here * after < 0) pulses += 2 * Math.min(Math.abs(before), Math.abs(after));
      else if (after * next < 0) pulses += 4 * Math.min(Math.abs(before), Math.abs(next));
    }
    // One by one: an array a sample would cost more than all else here until the loop is optimised.
    second = before;
    before = here;
    here = after;
    after = next;
  }
  // `near` counts a band of width 2·noise: density at the mean × noise² = near/(2 noise n) × noise².
  return {
    mean,
    deviation: deviation / length,
    rise: (near * noise) / (2 * length),
    edges: edges / length,
    pulses: pulses / length,
  };
}

/** A sum of |x| over samples misses its integral by up to this part of the slope a sample at a kink (Euler-Maclaurin; its mean is 0). */
const kink = 12;
/** Of a course through the mean; beside a step the light stands. */
const steady = 0.5;

/** Does the light pass the mean as steeply as it comes and goes on? Then no edge fell between the samples. */
function isSmooth(second: number, before: number, after: number, next: number): boolean {
  const slope = (after - before) / 2;
  return (before - second) / slope > steady && (next - after) / slope > steady;
}

/** |x| averaged over a sample in which the light stepped from one neighbour's value to the other's, less |mean of it|. */
function lostInEdge(before: number, here: number, after: number): number {
  const part = Math.min(1, Math.max(0, (here - after) / (before - after)));
  return Math.max(0, part * Math.abs(before) + (1 - part) * Math.abs(after) - Math.abs(here));
}
