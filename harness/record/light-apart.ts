import { median } from 'd3-array';

/** Two records of one signal under the same commands, on one clock. */
export interface TwoRecords {
  /** In the unit of the signal. */
  readonly a: Float64Array;
  readonly b: Float64Array;
  /** Between samples, s. */
  readonly interval: number;
  /** Of the first sample, s. */
  readonly start: number;
}

/** Where two records are apart by more than their noise. */
export interface Apart {
  /** Of means over a millisecond: where they are furthest apart, s. */
  readonly at: number;
  readonly a: number;
  readonly b: number;
  /** The highest mean of both, which tells what is much. */
  readonly highest: number;
  /** How long they are apart in all, s. */
  readonly lasting: number;
}

/** Means over as long: shorter than any step that an eye or a claim sees, longer than a period of usual modulation. s */
const meanOver = 1e-3;
/** Of the noise of a difference: beyond that by chance in one of 10^8 means. */
const standards = 6;
/** Less than this part of the highest mean counts for nothing. */
const least = 1e-4;
/** Of differences between neighbours of Gaussian noise: their median size over one standard deviation. */
const medianOfNeighbours = 0.6745 * Math.SQRT2;

/**
 * Where two records are furthest apart; null where they are the same within noise. Records of two lengths are held against each other as
 * far as both go. Source of the limits: common practice, no source.
 */
export function lightApart({ a, b, interval, start }: TwoRecords): Apart | null {
  const size = Math.max(1, Math.round(meanOver / interval));
  const [means, others] = [meansOf(a, size), meansOf(b, size)];
  const count = Math.min(means.length, others.length);
  const gaps = Float64Array.from({ length: count }, (_, k) => (others[k] ?? 0) - (means[k] ?? 0));
  let highest = 0;
  for (let k = 0; k < count; k++)
    highest = Math.max(highest, Math.abs(means[k] ?? 0), Math.abs(others[k] ?? 0));
  const limit = Math.max(standards * noiseOf(gaps), least * highest);
  let [most, apart] = [-1, 0];
  for (const [k, gap] of gaps.entries()) {
    if (Math.abs(gap) <= limit) continue;
    apart++;
    if (most < 0 || Math.abs(gap) > Math.abs(gaps[most] ?? 0)) most = k;
  }
  if (most < 0) return null;
  return {
    at: start + (most + 0.5) * size * interval,
    a: means[most] ?? 0,
    b: others[most] ?? 0,
    highest,
    lasting: apart * size * interval,
  };
}

function meansOf(samples: Float64Array, size: number): Float64Array {
  return Float64Array.from({ length: Math.floor(samples.length / size) }, (_, k) => {
    let sum = 0;
    for (let place = k * size; place < (k + 1) * size; place++) sum += samples[place] ?? 0;
    return sum / size;
  });
}

/** Standard deviation of the noise of a course that moves now and then: steps are few among its neighbours. */
function noiseOf(course: Float64Array): number {
  const steps = course.subarray(1).map((value, k) => Math.abs(value - (course[k] ?? 0)));
  return (median(steps) ?? 0) / medianOfNeighbours;
}
