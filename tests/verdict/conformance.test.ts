import { describe, expect, it } from 'vitest';
import {
  capabilityIndex,
  conformanceProbability,
  worstFalseAcceptance,
} from '../../harness/verdict/conformance.ts';

const atMost = (upper: number) => ({ lower: null, upper });

describe('conformanceProbability', () => {
  it('reproduces the breakdown-voltage example of JCGM 106 (figures from memory, Φ(1.40) computed)', () => {
    const probability = conformanceProbability(-5.47, 0.05, atMost(-5.4));
    expect(probability).toBeCloseTo(0.92, 2);
    expect(probability).toBeCloseTo(0.919243, 6);
  });

  // Computed from the definition.
  it.each([
    [0.35, 0.99379],
    [0.38, 0.841345],
    [0.42, 1 - 0.841345],
  ])('one-sided, limit 0.40, u = 0.02: y = %f gives %f', (value, probability) => {
    expect(conformanceProbability(value, 0.02, atMost(0.4))).toBeCloseTo(probability, 6);
  });

  it.each([
    [10, 0.5, 0.9545],
    [10.5, 0.5, 0.839995],
    [10, 0.25, 0.999937],
  ])('two-sided 10 ± 1: y = %f, u = %f gives %f', (value, standard, probability) => {
    expect(conformanceProbability(value, standard, { lower: 9, upper: 11 })).toBeCloseTo(
      probability,
      6,
    );
  });

  it('is a plain yes or no without uncertainty', () => {
    expect(conformanceProbability(0.4, 0, atMost(0.4))).toBe(1);
    expect(conformanceProbability(0.41, 0, atMost(0.4))).toBe(0);
  });
});

// ILAC-G8:09/2019, table of guard bands: rows w = U and w = 0 confirmed in the text, the others from memory and computed.
it.each([
  [0, 0.5],
  [0.5, 0.158655],
  [0.83, 0.048457],
  [1, 0.02275],
  [1.5, 0.00135],
])('a guard band of %f U lets at most %f of bad lamps pass', (guard, probability) => {
  expect(worstFalseAcceptance(guard)).toBeCloseTo(probability, 6);
});

it('keeps the bounds that ILAC-G8 prints beside its guard bands', () => {
  expect(worstFalseAcceptance(3)).toBeLessThan(1e-6);
  expect(worstFalseAcceptance(1.5)).toBeLessThan(0.0016);
  expect(worstFalseAcceptance(1)).toBeLessThan(0.025);
  expect(worstFalseAcceptance(0.83)).toBeLessThan(0.05);
});

it('has a capability index for a tolerance with two sides only', () => {
  expect(capabilityIndex(0.25, { lower: 9, upper: 11 })).toBe(2);
  expect(capabilityIndex(0.25, atMost(11))).toBeNull();
});
