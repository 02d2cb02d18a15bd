import { largestOfNormals } from './largest-of-normals.ts';
import { normalQuantile } from './normal-quantile.ts';
import { indexAt, type Samples, sampleAt } from './samples.ts';

/** The samples that could have been the extreme, and their noise. */
export interface PlateauNoise {
  readonly count: number;
  /** In the record's unit; at most the record's own noise. */
  readonly rms: number;
}

const bins = 128;
/** Parts of the plateau, from the extreme on, whose depth tells the noise. */
const parts = [0.5, 0.1, 0.02];
/** Samples that such a part must hold. */
const fewest = 4;
/** The plateau contradicts the record's noise when it shows less than this part of it; scatter alone does not. */
const contradiction = 0.6;
/** The median of so many samples is known well enough to contradict it sooner. */
const many = 100;
const soonerBy = 0.85;
const mostRounds = 6;

/**
 * Noise of the samples near an extreme, held against the normal distribution: of n samples on a plateau the part p farthest out
 * reaches from e(n) down to the quantile 1 - p. Samples that pile up at the extreme have less noise than the record is
 * said to have; a wider spread is the light's own course, and says nothing.
 *
 * @param sign 1 for the highest sample, -1 for the lowest
 * @param noise rms of one sample as the whole record shows it
 */
export function plateauNoise(
  samples: Samples,
  extreme: number,
  sign: 1 | -1,
  noise: number,
): PlateauNoise {
  let rms = noise;
  for (let round = 0; round < mostRounds && rms > 0; round++) {
    const reach = 2 * largestOfNormals(samples.length) * rms;
    const depths = depthsBelow(samples, extreme, sign, reach);
    if (depths.count <= 1) return { count: 1, rms };
    const told = estimates(depths, reach / bins);
    const local = Math.min(...told);
    const [middle = rms] = told;
    const sooner = depths.count >= many && local >= contradiction * rms;
    if (sooner && middle < soonerBy * rms) return { count: depths.count, rms: middle };
    // Once contradicted, the record's own figure is worth nothing: the plateau's counts.
    if (!(local < contradiction * rms))
      return { count: depths.count, rms: round === 0 ? rms : Math.min(rms, local) };
    // Finer than the classes: look again, closer.
    rms = local < (2 * reach) / bins ? Math.min(rms / 8, local + reach / bins) : local;
  }
  return { count: 1, rms: 0 };
}

interface Depths {
  readonly classes: Int32Array;
  readonly count: number;
  /** Mean depth of them. */
  readonly mean: number;
}

function depthsBelow(samples: Samples, extreme: number, sign: 1 | -1, reach: number): Depths {
  const classes = new Int32Array(bins);
  const scale = bins / reach;
  let count = 0;
  let sum = 0;
  for (let k = 0; k < samples.length; k++) {
    const depth = sign * (extreme - sampleAt(samples, k));
    if (!(depth <= reach)) continue;
    const at = Math.min(bins - 1, Math.floor(depth * scale));
    classes[at] = indexAt(classes, at) + 1;
    count++;
    sum += depth;
  }
  return { classes, count, mean: sum / count };
}

/** The noise that each part speaks of, the half first; a handful of samples has a mean only. */
function estimates({ classes, count, mean }: Depths, width: number): readonly number[] {
  const top = largestOfNormals(count);
  const told = parts.filter((part) => part * count >= fewest);
  if (told.length === 0) return [mean / top];
  return told.map((part) => {
    const gap = top - normalQuantile(1 - part);
    return gap > 0 ? quantile(classes, part * count, width) / gap : Number.POSITIVE_INFINITY;
  });
}

/** Depth that so many samples do not exceed, straight within a class. */
function quantile(classes: Int32Array, wanted: number, width: number): number {
  let before = 0;
  for (let k = 0; k < classes.length; k++) {
    const here = indexAt(classes, k);
    if (before + here >= wanted) return width * (k + (wanted - before) / here);
    before += here;
  }
  return width * classes.length;
}
