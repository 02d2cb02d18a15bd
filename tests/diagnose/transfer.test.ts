import { describe, expect, test } from 'vitest';
import { isBent, type SteadyLevel, transferOf } from '../../harness/diagnose/transfer.ts';

const commanded = [1, 0.8, 0.505, 0.3, 0.2, 0.13, 0.1, 0.05, 0.03, 0.01, 0.003, 0.001];

/** What a tolerance of 8 % makes of levels that come out as `light` says. */
function levels(light: (level: number) => number): SteadyLevel[] {
  return commanded.map((level, k) => {
    // A reading is never quite what it should be.
    const measured = light(level) * (1 + 0.004 * Math.sin(7 * k));
    return { commanded: level, measured, failed: Math.abs(measured / level - 1) > 0.08 };
  });
}

describe('how light follows what is commanded', () => {
  test.each([
    ['a floor', (x: number) => Math.max(x, 0.02), { form: 'floor', level: 0.02 }],
    ['a ceiling', (x: number) => Math.min(x, 0.6), { form: 'ceiling', level: 0.6 }],
    ['dark at 1 % and less', (x: number) => (x <= 0.01 ? 0 : x), { form: 'dark', level: 0.01 }],
    [
      'the fourth bit is never set',
      (x: number) => (Math.floor(x * 16) % 2 === 1 ? x - 1 / 16 : x),
      { form: 'missing-bit', share: 1 / 16, bit: 4 },
    ],
    [
      'a drive of eight bits',
      (x: number) => Math.round(x * 255) / 255,
      { form: 'coarse', share: 1 / 255, bits: 8 },
    ],
    ['an offset', (x: number) => x + 0.005, { form: 'offset', share: 0.005 }],
    ['a factor', (x: number) => (x > 0.9 ? x : 1.3 * x), { form: 'factor', factor: 1.3 }],
    ['a curve of another power', (x: number) => x ** 1.4, { form: 'power', exponent: 1.4 }],
  ])('%s', (_, light, expected) => {
    const found = transferOf(levels(light));
    expect(found).toMatchObject({ form: expected.form });
    for (const [name, figure] of Object.entries(expected))
      if (typeof figure === 'number')
        expect(Object.entries(found ?? {})).toContainEqual([
          name,
          expect.closeTo(figure, figure > 0.5 ? 1 : 3),
        ]);
  });

  test('a lamp that follows its curve has none', () => {
    expect(transferOf(levels((level) => level))).toBeNull();
  });

  test('levels that are off here and there have none', () => {
    const off = [1, 1.3, 1, 0.6, 1, 1.5, 1, 1, 0.7, 1, 1.2, 1];
    expect(transferOf(levels((level) => level * (off[commanded.indexOf(level)] ?? 1)))).toBeNull();
  });

  test('one level that fails is met by any form', () => {
    expect(transferOf(levels((level) => (level === 0.001 ? 0 : level)))).toBeNull();
  });

  test('levels that come out as they were told are not bent', () => {
    const form = { form: 'missing-bit', share: 1 / 16, bit: 4 } as const;
    expect([0.2, 0.1, 0.3].map((level) => isBent(form, level))).toEqual([true, true, false]);
  });
});
