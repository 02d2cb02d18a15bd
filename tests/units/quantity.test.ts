import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatMeasured, formatQuantity } from '../../harness/units/format-quantity.ts';
import { parseHalfWidth } from '../../harness/units/parse-half-width.ts';
import { parseQuantity } from '../../harness/units/parse-quantity.ts';
import { fromShown, toShown } from '../../harness/units/to-shown.ts';

function read(text: string): readonly [number, string] {
  const parsed = parseQuantity(text);
  if (!parsed.ok) throw new Error(parsed.problem);
  return [parsed.quantity.value, parsed.quantity.dimension];
}

function problem(text: string): string {
  const parsed = parseQuantity(text);
  return parsed.ok ? 'none' : parsed.problem;
}

describe('parseQuantity', () => {
  it('reads every way of writing a quantity into SI, without rounding errors of its own', () => {
    // SI prefixes and accepted units: BIPM SI Brochure, 9th edition, tables 7 and 8 (from memory).
    const cases: readonly (readonly [string, number, string])[] = [
      ['20 ms', 0.02, 'time'],
      ['0.1 %', 0.001, 'ratio'],
      ['10 kHz', 10_000, 'frequency'],
      ['20 kS/s', 20_000, 'frequency'],
      ['48 V', 48, 'voltage'],
      ['700 mA', 0.7, 'current'],
      ['100 µH', 1e-4, 'inductance'],
      ['100 μH', 1e-4, 'inductance'],
      ['100 uH', 1e-4, 'inductance'],
      ['2700 K', 2700, 'colour-temperature'],
      ['1/1000 s', 0.001, 'time'],
      ['1/8000s', 1 / 8000, 'time'],
      ['25 °C', 25, 'temperature'],
      ['2 min', 120, 'time'],
      ['3', 3, 'number'],
      ['1e-3 s', 0.001, 'time'],
      ['−5 V', -5, 'voltage'],
      ['.5 s', 0.5, 'time'],
      ['50 ppm', 5e-5, 'ratio'],
      ['10 %/s', 0.1, 'slope'],
      ['240 fps', 240, 'frequency'],
      ['3 SDCM', 3, 'number'],
      ['4.7 kΩ', 4700, 'resistance'],
      ['4.7 k\u2126', 4700, 'resistance'],
    ];
    for (const [text, value, dimension] of cases)
      expect(read(text), text).toEqual([value, dimension]);
  });

  it('says what is wrong with everything else', () => {
    expect(problem('soon')).toBe('no number in "soon"');
    expect(problem('')).toBe('nothing there');
    expect(problem('0,5 s')).toBe('"0,5 s" has a decimal comma; write a decimal point');
    expect(problem('1 000 ms')).toBe('"1 000 ms" has a space inside the number');
    expect(problem('NaN')).toBe('"NaN" is not a finite number');
    expect(problem('-.inf')).toBe('"-.inf" is not a finite number');
    expect(problem('Infinity s')).toBe('"Infinity s" is not a finite number');
    expect(problem('1e999 s')).toBe('"1e999 s" is not a finite number');
    expect(problem('1/0 s')).toBe('"1/0 s" is not a finite number');
    expect(problem('5 parsec')).toBe('the unit "parsec" is not known');
    expect(problem('5 s s')).toBe('the unit "s s" is not known');
    expect(problem('1.2.3 s')).toBe('".3 s" follows the number, where a unit should stand');
  });

  it('reads half-widths and refuses a negative or missing one', () => {
    expect(parseHalfWidth('± 5 %')).toMatchObject({ ok: true, quantity: { value: 0.05 } });
    expect(parseHalfWidth('+/- 20 ms')).toMatchObject({ ok: true, quantity: { value: 0.02 } });
    expect(parseHalfWidth('5 %')).toEqual({ ok: false, problem: 'no ± in front of "5 %"' });
    expect(parseHalfWidth('± -5 %')).toEqual({ ok: false, problem: '"± -5 %" is below zero' });
  });
});

describe('showing', () => {
  it('scales for people and back', () => {
    expect(toShown(0.02, 's', 'ms')).toBe(20);
    expect(toShown(0.0007, '1', '%')).toBe(0.07);
    expect(toShown(120, 's', 'min')).toBeCloseTo(2, 12);
    expect(toShown(5, 'K', 'K')).toBe(5);
    expect(toShown(3, '1', 'SDCM')).toBe(3);
    expect(() => toShown(1, 's', 'V')).toThrow('s cannot be shown in V');
  });

  it('prints sensible digits', () => {
    expect(formatQuantity(0.02, 'time')).toBe('20 ms');
    expect(formatQuantity(0.001, 'ratio')).toBe('0.1 %');
    expect(formatQuantity(0.0010023456, 'ratio', '%')).toBe('0.1002 %');
    expect(formatQuantity(20_000, 'frequency')).toBe('20 kHz');
    expect(formatQuantity(0, 'time')).toBe('0 s');
    expect(formatQuantity(-0.5, 'voltage')).toBe('−500 mV');
    expect(formatQuantity(2700, 'colour-temperature')).toBe('2700 K');
    expect(formatQuantity(1e-12, 'number')).toBe('1e-12'.replace('-', '−'));
    expect(formatMeasured(2.01349, 0.00412, 's', 's')).toBe('2.0135 ± 0.0041 s');
    expect(formatMeasured(0.0010234, 0.00002, '1', '%')).toBe('0.1023 ± 0.0020 %');
    expect(formatMeasured(5.03502, 0.00078, '1', '1')).toBe('5.0350 ± 0.0008');
    expect(formatMeasured(-12345.678, 0.002, 'V', 'V')).toBe('−12346 ± 1 V');
    expect(formatMeasured(0.00001, 0.0000099, '1', '1')).toBe('0.0000100 ± 0.0000099');
    expect(formatMeasured(0, 0.00123, '1', '1')).toBe('0.0000 ± 0.0012');
    expect(formatMeasured(0.3, 0, '1', '1')).toBe('0.3');
  });

  it('holds as a law: what is shown in a unit reads back as the same figure', () => {
    const finite = fc
      .double({ min: -1e6, max: 1e6, noNaN: true })
      .filter((value) => value === 0 || Math.abs(value) > 1e-300);
    const pairs = fc.constantFrom(
      ['s', 'ms'],
      ['1', '%'],
      ['Hz', 'kHz'],
      ['A', 'µA'],
      ['s', 'min'],
    );
    fc.assert(
      fc.property(finite, pairs, (value, [unit, shown]) => {
        const back = fromShown(toShown(value, unit!, shown!), unit!, shown!);
        return Math.abs(back - value) <= Math.abs(value) * 5e-16;
      }),
    );
  });
});
