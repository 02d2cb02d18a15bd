import { type Samples, sampleAt } from './samples.ts';

/** Points of a drawn line: positions in samples (fractions are middles) and values. */
export interface Outline {
  readonly at: number[];
  readonly values: number[];
}

/**
 * A line of at most `points` points that keeps every extreme of the record visible: the lowest and the highest sample
 * of each stretch, in the order in which they came. A record that fits is returned whole.
 */
export function decimateMinMax(samples: Samples, points: number): Outline {
  const at: number[] = [];
  const values: number[] = [];
  if (samples.length <= points) {
    for (let k = 0; k < samples.length; k++) {
      at.push(k);
      values.push(sampleAt(samples, k));
    }
    return { at, values };
  }
  const stretches = Math.max(1, Math.floor(points / 2));
  for (let s = 0; s < stretches; s++) {
    const first = Math.floor((s * samples.length) / stretches);
    const end = Math.floor(((s + 1) * samples.length) / stretches);
    let low = first;
    let high = first;
    for (let k = first + 1; k < end; k++) {
      if (sampleAt(samples, k) < sampleAt(samples, low)) low = k;
      if (sampleAt(samples, k) > sampleAt(samples, high)) high = k;
    }
    for (const k of low === high ? [low] : [Math.min(low, high), Math.max(low, high)]) {
      at.push(k);
      values.push(sampleAt(samples, k));
    }
  }
  return { at, values };
}
