import { memoiseSamples } from './memoise.ts';
import { type Samples, sampleAt } from './samples.ts';
import { statistics } from './statistics.ts';

/** An edge that spans this part of the record's swing from one sample to the next shows nothing of where it lies between them. */
const wholeEdge = 0.8;
/** Means show most edges in two steps: one that falls within a sample leaves a value between the levels. */
const mostly = 0.5;
/** Pulses whose places between the samples are looked at. */
const most = 4000;

/**
 * Standard uncertainty of the mean of samples that are the signal at instants, in their unit: each edge of a pulse lies anywhere
 * between two samples. Where the pulses come in ever new places between the samples their errors cancel; where they keep step
 * with the samples, they all err alike. 0 where the samples are means, or where there are no pulses.
 * Source: rectangular distribution over the widest gap between the places (JCGM 100:2008 4.3.7; clause from memory).
 */
export const meanDoubtOfEdges = memoiseSamples((samples: Samples): number => {
  const { lowest, highest } = statistics(samples);
  const swing = highest - lowest;
  if (!(swing > 0)) return 0;
  const rising: number[] = [];
  let [bare, split] = [0, 0];
  const edge = wholeEdge * swing;
  let before = 0;
  for (let k = 1; k < samples.length; k++) {
    const change = sampleAt(samples, k) - sampleAt(samples, k - 1);
    if (Math.abs(change) >= edge) {
      bare++;
      if (change > 0 && rising.length < most) rising.push(k);
    } else if (Math.abs(before) < edge && Math.abs(before + change) >= edge) split++;
    before = change;
  }
  if (bare < 4 || bare <= mostly * (bare + split)) return 0;
  // Of two edges, each within half a gap of its place.
  return (swing * (bare / 2) * (widestGap(rising) / Math.sqrt(6))) / samples.length;
});

/**
 * The widest gap, in samples, between the places that the pulses take between two samples: 1 where they keep step, 1/q where a
 * whole number of samples holds q pulses. The period is known to a sample in all; the fewest pulses that agree with it count.
 */
function widestGap(rising: readonly number[]): number {
  const [first, last] = [rising[0], rising.at(-1)];
  const count = rising.length - 1;
  if (first === undefined || last === undefined || count < 2) return 1;
  const period = (last - first) / count;
  let pulses = 1;
  while (Math.abs(pulses * period - Math.round(pulses * period)) > pulses / count) pulses++;
  return 1 / pulses;
}
