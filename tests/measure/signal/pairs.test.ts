import { describe, expect, it } from 'vitest';
import { endsOf, neighbours, zip } from '../../../harness/measure/signal/pairs.ts';

describe('pairs', () => {
  it('are of each element and the one after it', () => {
    expect(neighbours([1, 2, 3])).toEqual([
      [1, 2],
      [2, 3],
    ]);
    expect(neighbours([1])).toEqual([]);
    expect(neighbours([])).toEqual([]);
  });

  it('are of elements of the same place, as far as both lists go', () => {
    expect(zip(Float64Array.of(1, 2, 3), ['a', 'b'])).toEqual([
      [1, 'a'],
      [2, 'b'],
    ]);
  });

  it('are of the first and the last element, which may be the same', () => {
    const [one, two] = [{ at: 1 }, { at: 2 }];
    expect(endsOf([one, { at: 5 }, two])).toEqual([one, two]);
    expect(endsOf([one])).toEqual([one, one]);
    expect(endsOf([])).toBeNull();
  });
});
