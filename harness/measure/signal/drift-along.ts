import { type Samples, sampleAt } from './samples.ts';

/** Parts of a record whose means are laid along a line. */
const pieces = 10;

/**
 * Change along the least-squares line through the means of ten parts of a record, from its start to its end, and its standard
 * uncertainty from the scatter about the line; in the samples' unit.
 * Source: least squares, textbook.
 */
export function driftAlong(samples: Samples): {
  readonly drift: number;
  readonly standard: number;
} {
  const size = Math.floor(samples.length / pieces);
  const means = Array.from({ length: pieces }, (_, piece) => {
    let sum = 0;
    for (let k = piece * size; k < (piece + 1) * size; k++) sum += sampleAt(samples, k);
    return sum / size;
  });
  const mean = means.reduce((a, b) => a + b, 0) / pieces;
  const place = (index: number): number => (index - (pieces - 1) / 2) / pieces;
  const xx = means.reduce((sum, _, index) => sum + place(index) ** 2, 0);
  const drift = means.reduce((sum, each, index) => sum + place(index) * (each - mean), 0) / xx;
  const rest = means.reduce(
    (sum, each, index) => sum + (each - mean - drift * place(index)) ** 2,
    0,
  );
  return { drift, standard: Math.sqrt(rest / (pieces - 2) / xx) };
}
