import { type Samples, sampleAt } from './samples.ts';

/** A sample has to go beyond the first stretch by this part of its swing to be worth another one. */
const beyond = 0.05;

/**
 * The first sample of a stretch of `count` that stands for a record: its beginning, or, where a sample elsewhere goes beyond all of
 * that, the stretch with the farthest one in its middle.
 */
export function tellingStretch(samples: Samples, count: number): number {
  const last = Math.max(0, samples.length - count);
  const [low, high] = [lowestOf(samples, count), highestOf(samples, count)];
  const [lowest, highest] = [lowestOf(samples), highestOf(samples)];
  const swing = sampleAt(samples, high) - sampleAt(samples, low);
  const above = sampleAt(samples, highest) - sampleAt(samples, high);
  const below = sampleAt(samples, low) - sampleAt(samples, lowest);
  if (!(Math.max(above, below) > beyond * swing)) return 0;
  const middle = above >= below ? highest : lowest;
  return Math.min(last, Math.max(0, middle - (count >> 1)));
}

function lowestOf(samples: Samples, end = samples.length): number {
  let place = 0;
  for (let k = 1; k < Math.min(end, samples.length); k++)
    if (sampleAt(samples, k) < sampleAt(samples, place)) place = k;
  return place;
}

function highestOf(samples: Samples, end = samples.length): number {
  let place = 0;
  for (let k = 1; k < Math.min(end, samples.length); k++)
    if (sampleAt(samples, k) > sampleAt(samples, place)) place = k;
  return place;
}
