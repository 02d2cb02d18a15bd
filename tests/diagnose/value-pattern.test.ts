import { describe, expect, test } from 'vitest';
import { patternOf } from '../../harness/diagnose/value-pattern.ts';

const percent = (figures: readonly number[]) => figures.map((figure) => `${figure} %`);

describe('how values that fail lie among the others', () => {
  test('below or above all that pass', () => {
    expect(patternOf(percent([0.3, 0.1]), percent([1, 10, 100]))).toEqual({
      kind: 'at most',
      value: '0.3 %',
    });
    expect(patternOf(percent([100, 50]), percent([1, 10, 0.1]))).toEqual({
      kind: 'at least',
      value: '50 %',
    });
  });

  test('at every third of them', () => {
    const codes = Array.from({ length: 12 }, (_, k) => k + 100);
    const bad = codes.filter((code) => code % 3 === 0);
    const good = codes.filter((code) => code % 3 !== 0);
    expect(patternOf(bad.map(String), good.map(String))).toEqual({
      kind: 'every',
      step: 3,
      value: '102',
    });
  });

  test('a row that leaves one out, or ends before the values do, is no pattern', () => {
    const good = ['100', '101', '103', '104', '105', '106', '107', '109', '110'];
    expect(patternOf(['102', '108', '111'], good)).toBeNull();
    expect(patternOf(['100', '102', '104'], ['101', '103', '105', '106', '107', '108'])).toBeNull();
  });

  test('names and two values have no order', () => {
    expect(patternOf(['warm'], ['cool', 'red', 'lime'])).toBeNull();
    expect(patternOf(['1 %'], ['2 %'])).toBeNull();
  });
});
