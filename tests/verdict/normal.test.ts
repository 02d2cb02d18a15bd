import jstat from 'jstat';
import { expect, it } from 'vitest';
import { normalCdf } from '../../harness/verdict/normal.ts';

// Quantiles, computed; also in every table of the normal distribution.
it.each([
  [1.644854, 0.95],
  [1.959964, 0.975],
  [2.326348, 0.99],
  [3.090232, 0.999],
])('Φ(%f) = %f', (z, probability) => {
  expect(normalCdf(z)).toBeCloseTo(probability, 6);
  expect(normalCdf(-z)).toBeCloseTo(1 - probability, 6);
});

it('agrees with an independent statistics library', () => {
  for (let z = -6; z <= 6; z += 0.01)
    expect(Math.abs(normalCdf(z) - jstat.jStat.normal.cdf(z, 0, 1))).toBeLessThan(1e-7);
});

it('is continuous where the two expansions meet', () => {
  expect(Math.abs(normalCdf(-2.9999999999) - normalCdf(-3.0000000001))).toBeLessThan(1e-11);
});

it('keeps its relative precision far out', () => {
  // Φ(-10) = 7.619853024160e-24 (computed with 30 digits).
  expect(normalCdf(-10) / 7.61985302416053e-24).toBeCloseTo(1, 10);
  expect(normalCdf(-50)).toBe(0);
  expect(normalCdf(Number.NEGATIVE_INFINITY)).toBe(0);
  expect(normalCdf(Number.POSITIVE_INFINITY)).toBe(1);
  expect(normalCdf(Number.NaN)).toBeNaN();
});
