import { describe, expect, it } from 'vitest';
import { dot, extended, remainder } from '../../../harness/measure/signal/least-squares.ts';

const of = (...values: number[]) => Float64Array.from(values);

describe('orthogonal columns', () => {
  it('a product of two columns is the sum of the products', () => {
    expect(dot(of(1, 2, 3), of(4, -5, 6))).toBe(12);
    expect(dot(of(), of())).toBe(0);
  });

  it('are of length 1 and at right angles, in the order given, those of before first', () => {
    const [first, second, ...others] = extended([of(1, 0, 0)], [of(5, 3, 4), of(2, 3, 4)]);
    expect([...(first ?? [])]).toEqual([1, 0, 0]);
    expect([...(second ?? [])]).toEqual([0, 0.6, 0.8]);
    // The third lies in the plane of the first two.
    expect(others).toEqual([]);
  });

  it('a column that only nearly lies among them is kept, by what is its own', () => {
    const basis = extended([], [of(1, 0), of(1, 1e-5)]);
    expect(basis.length).toBe(2);
    expect(basis[1]?.[0]).toBeCloseTo(0, 12);
    expect(basis[1]?.[1]).toBeCloseTo(1, 12);
    expect(extended([], [of(1, 0), of(1, 1e-7)]).length).toBe(1);
    expect(extended([], [of(1000, 0), of(1000, 1e-4)]).length).toBe(1);
    expect(extended([], [of(0.001, 0), of(0.001, 1e-6)]).length).toBe(2);
    expect(extended([], [of(0, 0)])).toEqual([]);
  });

  it('what they leave of a column is at right angles to them all, and the column stays', () => {
    const column = of(3, 4, 5);
    const rest = remainder(column, [of(1, 0, 0), of(0, 0.6, 0.8)]);
    // 4 · 0.6 + 5 · 0.8 = 6.4 along the second.
    expect(rest[0]).toBe(0);
    expect(rest[1]).toBeCloseTo(4 - 6.4 * 0.6, 12);
    expect(rest[2]).toBeCloseTo(5 - 6.4 * 0.8, 12);
    expect([...column]).toEqual([3, 4, 5]);
  });

  it('a second turn takes what the first left by columns that are not quite at right angles', () => {
    const tilt = 1e-4;
    const basis = [of(1, 0), of(tilt, Math.sqrt(1 - tilt * tilt))];
    // After one turn 1e-4 would be left along the first.
    expect(Math.abs(remainder(of(0, 1), basis)[0] ?? 1)).toBeLessThan(1e-7);
  });
});
