import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { roundedCharts } from '../../harness/measure/charts/rounded-charts.ts';
import type { Chart } from '../../harness/measure/evidence.ts';

function rounded(values: readonly number[], scale: 'linear' | 'log'): readonly number[] {
  const axis = { label: '', unit: '1', scale } as const;
  const lines = [{ name: '', role: 'measured', x: values, y: [] }] as const;
  const chart: Chart = { kind: 'curve', title: '', x: axis, y: axis, lines, marks: [] };
  return roundedCharts([chart])[0]!.lines[0]!.x;
}

describe('roundedCharts', () => {
  it('keeps a hundred-thousandth of the width, wherever the axis begins', () => {
    expect(rounded([100.00001234567, 100.0110123456], 'linear')).toEqual([
      100.0000123, 100.0110123,
    ]);
    expect(rounded([0.1234567891, 2e6 + 0.3], 'linear')).toEqual([0, 2e6]);
    expect(rounded([27.1828182], 'linear')).toEqual([27.1828]);
  });

  it('keeps six digits on a logarithmic axis, however small', () => {
    expect(rounded([1.23456789e-9, 0, 98765.4321], 'log')).toEqual([1.23457e-9, 0, 98765.4]);
  });

  it('keeps a ten-thousandth of the height, or five digits of it', () => {
    const height = (scale: 'linear' | 'log') => {
      const axis = { label: '', unit: '1', scale } as const;
      const lines = [{ name: '', role: 'measured', x: [0, 1], y: [1.23456789, 2.5] }] as const;
      const chart: Chart = { kind: 'curve', title: '', x: axis, y: axis, lines, marks: [] };
      return roundedCharts([chart])[0]!.lines[0]!.y;
    };
    expect(height('linear')).toEqual([1.2346, 2.5]);
    expect(height('log')).toEqual([1.2346, 2.5]);
  });

  it('leaves what is no number and what no power of ten reaches', () => {
    expect(rounded([Number.NaN, 1e300, 2e-300], 'log')).toEqual([Number.NaN, 1e300, 2e-300]);
  });

  it('moves no point by more than a hundred-thousandth of the width', () => {
    const finite = fc.double({ min: -1e12, max: 1e12, noNaN: true });
    fc.assert(
      fc.property(fc.array(finite, { minLength: 2 }), (values) => {
        const width = Math.max(...values) - Math.min(...values) || Math.abs(values[0]!);
        const slack = 1e-5 * width + 1e-9 * Math.max(...values.map(Math.abs));
        rounded(values, 'linear').forEach((value, k) => {
          expect(Math.abs(value - values[k]!)).toBeLessThanOrEqual(slack);
        });
      }),
    );
  });
});
