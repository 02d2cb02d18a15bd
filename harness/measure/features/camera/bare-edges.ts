import { memoiseSamples } from '../../signal/memoise.ts';
import { type Samples, sampleAt } from '../../signal/samples.ts';
import { statistics } from '../../signal/statistics.ts';

/** Edges of a light between two levels, as the samples show them. */
export interface BareEdges {
  /** Height, in the record's unit; 0 where the samples are means, or where there are no edges. */
  readonly height: number;
  /** Edges a sample. */
  readonly density: number;
}

/** An edge spans this part of the record's swing. */
const wholeEdge = 0.8;
/** Means show most edges in two steps: one that falls within a sample leaves a value between the levels. */
const mostlyBare = 0.5;
/** On both sides of an edge the light stands at its level for two samples, within this part of the swing. */
const level = 0.2;

/**
 * Edges from one level to the other without a sample between them. Where most are of that kind the samples are the light at
 * instants (or the clock is locked to the edges, which looks the same): each edge may lie half a sample to either side.
 */
export const bareEdges = memoiseSamples((samples: Samples): BareEdges => {
  const { lowest, highest } = statistics(samples);
  const swing = highest - lowest;
  const height = wholeEdge * swing;
  let bare = 0;
  let split = 0;
  for (let k = 2; k < samples.length - 1; k++) {
    const [before, here] = [sampleAt(samples, k - 1), sampleAt(samples, k)];
    if (Math.abs(here - before) >= height) {
      // A pulse of a single sample, or samples that alternate with a fast modulator's beat, are no edges between levels.
      const stood = Math.abs(before - sampleAt(samples, k - 2)) < level * swing;
      if (stood && Math.abs(sampleAt(samples, k + 1) - here) < level * swing) bare++;
    } else if (
      Math.abs(sampleAt(samples, k + 1) - before) >= height &&
      Math.abs(sampleAt(samples, k + 1) - here) < height
    )
      split++;
  }
  const isBare = bare > mostlyBare * (bare + split);
  return { height: isBare ? swing : 0, density: bare / samples.length };
});
