import { describe, expect, it } from 'vitest';
import { monotoneMedians } from '../../../harness/measure/signal/monotone-medians.ts';
import { slidingMedian } from '../../../harness/measure/signal/sliding-median.ts';
import { deviates } from '../light-of.ts';

const next = deviates(3);
const noise = Float64Array.from({ length: 300 }, () => next());

describe('the sliding median', () => {
  it('is the middle of the sorted neighbourhood, as many on either side as there are (by definition)', () => {
    const half = 12;
    const expected = noise.map((_, place) => {
      const reach = Math.min(half, place, noise.length - 1 - place);
      return noise.slice(place - reach, place + reach + 1).sort()[reach]!;
    });
    expect(slidingMedian(noise, half)).toEqual(expected);
  });

  it('leaves what only rises or only falls as it is, edges and all', () => {
    const steps = noise.slice().sort();
    expect(slidingMedian(steps, 20)).toEqual(steps);
    expect(slidingMedian(steps.reverse(), 20)).toEqual(steps);
  });
});

describe('the nearest course that goes one way', () => {
  it('is the values where they go that way', () => {
    expect(monotoneMedians([1, 2, 2, 5], 1)).toEqual([1, 2, 2, 5]);
    expect(monotoneMedians([5, 2, 2, 1], -1)).toEqual([5, 2, 2, 1]);
  });

  it('is not moved by what stands against it for a while', () => {
    expect(monotoneMedians([5, 5, 5, 0, 0, 5, 5, 5], -1)).toEqual([5, 5, 5, 5, 5, 5, 5, 5]);
    expect(monotoneMedians([1, 1, 1, 9, 1, 1, 2], 1)).toEqual([1, 1, 1, 1, 1, 1, 2]);
  });

  it('goes the way that it should, and no other such course lies nearer (compared with many)', () => {
    const values = Array.from(noise.subarray(0, 40), (value, place) => value + place / 20);
    const course = monotoneMedians(values, 1);
    const distance = (other: readonly number[]) =>
      values.reduce((sum, value, place) => sum + Math.abs(value - other[place]!), 0);
    for (let run = 0; run < 200; run++) {
      const other = course.map((value) => value + 0.3 * next()).sort((a, b) => a - b);
      expect(distance(other)).toBeGreaterThanOrEqual(distance(course) - 1e-9);
    }
    expect(course.toSorted((a, b) => a - b)).toEqual(course);
  });
});
