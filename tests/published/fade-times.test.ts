import { describe, expect, it } from 'vitest';
import { fadeRateOf, fadeTimeCode, fadeTimeOf } from '../../drivers/dali/levels.ts';

/**
 * IEC 62386-102 9.5: code, time in s, rate in steps/s. Confirmed in public sources that quote the clause; the rates'
 * last digits are computed from the formula (506 / sqrt(2^13) = 5.59056 is cut off to 5.590 in one print).
 */
const rows = [
  [1, '0.707', '357.80'],
  [2, '1.000', '253.00'],
  [3, '1.414', '178.90'],
  [4, '2.000', '126.50'],
  [5, '2.828', '89.45'],
  [6, '4.000', '63.25'],
  [7, '5.657', '44.72'],
  [8, '8.000', '31.63'],
  [9, '11.314', '22.36'],
  [10, '16.000', '15.81'],
  [11, '22.627', '11.18'],
  [12, '32.000', '7.906'],
  [13, '45.255', '5.591'],
  [14, '64.000', '3.953'],
  [15, '90.510', '2.795'],
] as const;

describe('the fade table of IEC 62386-102 9.5', () => {
  it.each(rows)('has code %i take %s s at %s steps/s', (code, time, rate) => {
    const digits = (text: string) => text.split('.')[1]!.length;
    expect(fadeTimeOf(code).toFixed(digits(time))).toBe(time);
    expect(fadeRateOf(code).toFixed(digits(rate))).toBe(rate);
  });

  it('agrees with the table in milliseconds (confirmed)', () => {
    const printed = [
      1414, 2000, 2828, 4000, 5657, 8000, 11314, 16000, 22627, 32000, 45255, 64000, 90510,
    ];
    printed.forEach((milliseconds, index) => {
      expect(Math.round(1000 * fadeTimeOf(index + 3))).toBe(milliseconds);
    });
  });

  it('goes there and back, within what printed tables round to', () => {
    for (let code = 0; code <= 15; code++) expect(fadeTimeCode(fadeTimeOf(code))).toBe(code);
    expect(fadeTimeCode(0.7)).toBe(1);
    expect(fadeTimeCode(0.1)).toBeNull();
    expect(fadeTimeCode(1000)).toBeNull();
  });
});
