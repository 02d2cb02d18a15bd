import { expect, it } from 'vitest';
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
