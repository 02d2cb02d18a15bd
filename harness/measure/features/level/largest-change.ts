import { largestOfNormals } from '../../signal/largest-of-normals.ts';
import { sampleAt } from '../../signal/samples.ts';
import type { Averages } from './averages.ts';

/** Changes of a level between stretches of it, relative to its mean. */
interface LargestChange {
  /** The largest change less what noise alone makes of so many stretches; 0 where it explains all. */
  readonly sure: number;
  /** Standard uncertainty of that change by the noise of its two stretches. */
  readonly noise: number;
  /** Change between the longest stretches, with the way to the ends of the window. */
  readonly most: number;
  /** Change that the outer halves of the first and the last average leave out. */
  readonly ends: number;
}

/** Longest stretches: a fifth of the window. */
const fewest = 5;
/** Variance of half-overlapping averages over that of independent ones. */
const overlap = 1.6;

/** The largest change between stretches of 1, 2, 4 … averages. */
export function largestChange({ values, mean }: Averages): LargestChange {
  const single = scatterOf(values);
  let [sure, noise, most] = [0, 0, 0];
  for (let width = 1; values.length / width >= fewest; width *= 2) {
    const means = stretchMeans(values, width);
    const white = single * Math.sqrt(width > 1 ? overlap / width : 1);
    const scatter = means.length >= 2 * fewest ? Math.max(white, scatterOf(means)) : white;
    const range = highest(means) - lowest(means);
    const own = range - 2 * largestOfNormals(means.length) * scatter;
    // What the noise of two stretches may still make is no change of the level.
    if (own > Math.max(sure, 2 * Math.SQRT2 * scatter))
      [sure, noise] = [own, scatter * (Math.SQRT2 + largestOfNormals(means.length))];
    most = range + endsOf(means) + restOf(means, values.length / width - means.length);
  }
  const ends = single > 0 && sure === 0 ? 0 : 2 * endsOf(values);
  return { sure: sure / mean, noise: noise / mean, most: most / mean, ends: ends / mean };
}

function stretchMeans(values: Float64Array, width: number): Float64Array {
  const means = new Float64Array(Math.floor(values.length / width));
  for (let k = 0; k < means.length; k++) {
    let sum = 0;
    for (let own = k * width; own < (k + 1) * width; own++) sum += sampleAt(values, own);
    means[k] = sum / width;
  }
  return means;
}

/** How far the outer halves of the first and the last mean may lie from these. */
function endsOf(means: Float64Array): number {
  const change = (one: number, two: number) =>
    Math.abs(sampleAt(means, one) - sampleAt(means, two)) / 2;
  return change(0, 1) + change(means.length - 1, means.length - 2);
}

/** What the averages behind the last whole stretch, such a part of one, may add at the speed of the last two. */
function restOf(means: Float64Array, part: number): number {
  const last = means.length - 1;
  return part * Math.abs(sampleAt(means, last) - sampleAt(means, last - 1));
}

/** Standard deviation of one mean, from second differences over non-overlapping ones (median: steps do not disturb it). */
function scatterOf(means: Float64Array): number {
  const sizes = new Float64Array(Math.max(0, means.length - 4));
  for (let k = 0; k < sizes.length; k++)
    sizes[k] = Math.abs(sampleAt(means, k) - 2 * sampleAt(means, k + 2) + sampleAt(means, k + 4));
  sizes.sort();
  return (sizes[sizes.length >> 1] ?? 0) / (0.6745 * Math.sqrt(6));
}

function highest(values: Float64Array): number {
  return values.reduce((most, value) => Math.max(most, value), -Infinity);
}

function lowest(values: Float64Array): number {
  return values.reduce((least, value) => Math.min(least, value), Infinity);
}
