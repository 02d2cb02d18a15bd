import { describe, expect, it } from 'vitest';
import { apparentStep } from '../../../harness/measure/signal/apparent-step.ts';

const sine = (k: number) => 100 + 5 * Math.sin(k / 7);

it('is the step of a record that was rounded', () => {
  for (const step of [2, 0.5, 0.2]) {
    const samples = Float64Array.from(
      { length: 5000 },
      (_, k) => step * Math.round(sine(k) / step),
    );
    expect(apparentStep(samples)).toBeCloseTo(step, 9);
  }
});

it('is none of values that are not rounded, of a switch, of uneven levels, or of too few samples', () => {
  const of = (length: number, value: (k: number) => number) =>
    apparentStep(Float64Array.from({ length }, (_, k) => value(k)));
  expect(of(5000, sine)).toBe(0);
  expect(of(5000, (k) => k % 2)).toBe(0);
  expect(of(5000, (k) => [0, 0.3, 0.71, 1, 1.9][k % 5] ?? 0)).toBe(0);
  expect(of(5000, (k) => [0, 1, 2, 20, 40][k % 5] ?? 0)).toBe(0);
  expect(of(999, (k) => Math.round(sine(k)))).toBe(0);
});

describe('the step by a few levels', () => {
  const of = (levels: readonly number[], length = 1000) =>
    apparentStep(Float64Array.from({ length }, (_, k) => levels[k % levels.length] ?? 0));

  it('takes four to sixty-four of them, and a thousand samples', () => {
    const run = (count: number, step: number) => Array.from({ length: count }, (_, k) => step * k);
    expect(of(run(3, 0.5))).toBe(0);
    expect(of(run(4, 0.5))).toBe(0.5);
    expect(of(run(64, 0.5))).toBe(0.5);
    expect(of(run(65, 0.5))).toBe(0);
    expect(of(run(4, 0.5), 999)).toBe(0);
    expect(of([], 1000)).toBe(0);
  });

  it('is the least distance, of which the others are multiples within rounding', () => {
    expect(of([0, 2, 3, 4, 6])).toBe(1);
    expect(of([0, 2, 3.5, 4.5])).toBe(0);
    expect(of([-7, -6, -5, -3])).toBe(1);
    // A part in a billion of the largest value, and a millionth of the step.
    expect(of([0, 1, 2, 3 + 5e-7])).toBe(1);
    expect(of([0, 1, 2, 3 + 5e-6])).toBe(0);
    expect(of([0, 1e-3, 2e-3, 3e-3 + 5e-10])).toBeCloseTo(1e-3, 9);
    expect(of([0, 1e-3, 2e-3, 3e-3 + 5e-9])).toBe(0);
    expect(of([1e6, 1e6 + 0.1, 1e6 + 0.2, 1e6 + 0.3 + 5e-4])).toBeCloseTo(0.1, 6);
    expect(of([-1e6, 0.1, 0.2, 0.3]) === 0).toBe(true);
    expect(of([-1e6, -1e6 + 0.1, -1e6 + 0.2, -1e6 + 0.3 + 5e-4])).toBeCloseTo(0.1, 6);
  });

  it('has six tenths of the codes between the ends', () => {
    // Six of ten codes, six of eleven.
    expect(of([0, 1, 2, 3, 4, 9])).toBe(1);
    expect(of([0, 1, 2, 3, 4, 10])).toBe(0);
  });
});
