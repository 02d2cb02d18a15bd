import { describe, expect, test } from 'vitest';
import {
  fadeRateOf,
  fadeTimeCode,
  fadeTimeOf,
  lightOfLevel,
  nearestLevel,
} from '../../../drivers/dali/levels.ts';

// Per cent of IEC 62386-102's logarithmic curve: formula confirmed in public texts, digits computed from it; 10 -> 0.128,
// 127 -> 3.12, 229 -> 50.53 agree with a printed table.
const curve: readonly (readonly [number, number])[] = [
  [1, 0.1],
  [2, 0.102768],
  [3, 0.105613],
  [10, 0.127855],
  [20, 0.167995],
  [50, 0.38109],
  [60, 0.500731],
  [85, 0.99094],
  [86, 1.018369],
  [100, 1.492496],
  [126, 3.035383],
  [127, 3.119401],
  [128, 3.205744],
  [144, 4.961948],
  [150, 5.845187],
  [170, 10.091427],
  [180, 13.259576],
  [195, 19.970791],
  [200, 22.892003],
  [210, 30.078825],
  [220, 39.521912],
  [229, 50.530932],
  [235, 59.525569],
  [254, 100],
];

test.each(curve)('level %i is %f per cent', (level, percent) => {
  expect(lightOfLevel(level) * 100).toBeCloseTo(percent, 6);
  expect(nearestLevel(percent / 100)).toBe(level);
});

test('the curve at its ends, and nothing beyond', () => {
  expect(lightOfLevel(0)).toBe(0);
  expect(nearestLevel(0)).toBe(0);
  expect(nearestLevel(1e-6)).toBe(1);
  expect(nearestLevel(2)).toBe(254);
  // 244 -> 76.11 % is confirmed in a printed table.
  expect(lightOfLevel(244) * 100).toBeCloseTo(76.11, 2);
});

// IEC 62386-102 9.5, both formulas confirmed in public texts: milliseconds and steps a second for n = 1..15.
const fades: readonly (readonly [number, number, number])[] = [
  [1, 707, 357.8],
  [2, 1000, 253],
  [3, 1414, 178.9],
  [4, 2000, 126.5],
  [5, 2828, 89.45],
  [6, 4000, 63.25],
  [7, 5657, 44.72],
  [8, 8000, 31.63],
  [9, 11314, 22.36],
  [10, 16000, 15.81],
  [11, 22627, 11.18],
  [12, 32000, 7.906],
  [13, 45255, 5.59],
  [14, 64000, 3.953],
  [15, 90510, 2.795],
];

describe('fade table', () => {
  test.each(fades)('code %i is %i ms and %f levels a second', (code, milliseconds, rate) => {
    expect(fadeTimeOf(code) * 1000).toBeCloseTo(milliseconds, 0);
    expect(Math.abs(fadeRateOf(code) / rate - 1)).toBeLessThan(2e-4);
    expect(fadeTimeCode(milliseconds / 1000)).toBe(code);
  });

  test('rounded names of times find their code, times between two codes have none', () => {
    expect([0.7, 0.71, 1.41, 2.83, 5.7, 11.3, 22.6, 45, 90].map(fadeTimeCode)).toEqual([
      1, 1, 3, 5, 7, 9, 11, 13, 15,
    ]);
    expect([0, 3, 0.5, 128, 0.2].map(fadeTimeCode)).toEqual([0, null, null, null, null]);
  });
});
