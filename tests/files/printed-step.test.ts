import { describe, expect, it } from 'vitest';
import { readCsv } from '../../harness/files/csv.ts';
import { overloadMark } from '../../harness/files/overload-mark.ts';

const stepOf = (texts: readonly string[]) => {
  const result = readCsv(`light\n${texts.join('\n')}\n`, 1000);
  if (!result.ok) throw new Error(result.fault.message);
  return result.value.columns[0]!.step;
};
const sine = (print: (value: number) => string, amplitude = 0.3) =>
  Array.from({ length: 2000 }, (_, k) => print(amplitude * Math.sin(k / 31)));

describe('the step of the numbers in a text', () => {
  it.each([
    ['the last digit', sine((v) => v.toFixed(3)), 1e-3],
    [
      'a coarser step that the values show',
      sine((v) => String(Number((Math.round(v / 0.05) * 0.05).toFixed(2)))),
      0.05,
    ],
    ['whole numbers', sine((v) => String(Math.round(v)), 40), 1],
    ['few significant digits', sine((v) => v.toExponential(2)), 1e-3],
    ['nothing, in the print of a computer', sine(String), 0],
    ['nothing, in the dark', ['0', '0', '0'], 0],
    // Two levels of a square say nothing of a converter.
    ['the last digit of two levels', ['4.0', '0.5', '4.0', '0.5'], 0.1],
  ])('is %s', (_, texts, step) => {
    expect(stepOf(texts)).toBeCloseTo(step, 12);
  });
});

describe("an instrument's mark in place of a reading", () => {
  it('is told from light, in single precision too', () => {
    for (const mark of [9.9e37, -9.9e37, Math.fround(9.9e37), Math.fround(9.91e37), 1e38])
      expect(overloadMark(mark)).not.toBeNull();
    expect(overloadMark(Math.fround(9.91e37))?.meaning).toMatch(/not a number/);
    for (const light of [0, 9.8e37, -1, Number.NaN]) expect(overloadMark(light)).toBeNull();
  });
});
