import { describe, expect, it } from 'vitest';
import { combined } from '../../harness/verdict/assess.ts';
import { canNarrow, combine, type Part, type Single } from '../../harness/verdict/combine.ts';

const scale = (standard: number): Part => ({ name: 'scale of light', standard });
const noise = (standard: number, allowance = 1): Part => ({
  name: 'noise',
  standard,
  random: standard / allowance,
});

function measured(values: readonly number[], parts: readonly Part[]): readonly Single[] {
  return values.map((value) => ({ value, contributions: parts }));
}

/** Standard uncertainty of the mean. */
function standardOf(all: readonly Single[]): number {
  return combined(combine(all).contributions);
}

describe('several measurements as one', () => {
  it('are their mean, whose scatter falls with the root of their number', () => {
    // s = 1 exactly, and as much as was claimed.
    const all = measured([9, 11, 9, 11, 10], [noise(1)]);
    expect(combine(all).value).toBe(10);
    expect(standardOf(all)).toBeCloseTo(1 / Math.sqrt(5), 12);
  });

  it('keep all of what is common to them', () => {
    const all = measured([9, 11, 9, 11, 10], [scale(3), noise(1)]);
    expect(standardOf(all)).toBeCloseTo(Math.hypot(3, 1 / Math.sqrt(5)), 12);
    expect(combine(all).contributions[0]).toEqual({ name: 'scale of light', standard: 3 });
  });

  it('take for common what was claimed to be random and did not scatter', () => {
    expect(standardOf(measured([10, 10, 10, 10], [noise(1)]))).toBeCloseTo(1, 12);
    // s² = 1/2: half of the claim shows.
    const half = measured([9.5, 10.5], [noise(1)]);
    expect(standardOf(half)).toBeCloseTo(Math.sqrt(0.5 + 0.25), 12);
  });

  it('need no allowance for few observations any more', () => {
    expect(standardOf(measured([10, 10], [noise(1.2, 1.2)]))).toBeCloseTo(1, 12);
  });

  it('count with their own scatter where that is more than was claimed', () => {
    // s = √2
    const all = measured([9, 11], [noise(1)]);
    expect(standardOf(all)).toBeCloseTo(Math.SQRT2 / Math.SQRT2, 12);
    expect(combine(all).isUnsteady).toBe(false);
  });

  it('are unsteady where chance explains their scatter in one case of a hundred', () => {
    // χ² for 99 %: 6.635 at 1 degree of freedom, 13.28 at 4 (table).
    const two = (s: number) => measured([10 - s / Math.SQRT2, 10 + s / Math.SQRT2], [noise(1)]);
    expect(combine(two(Math.sqrt(6.4))).isUnsteady).toBe(false);
    expect(combine(two(Math.sqrt(6.8))).isUnsteady).toBe(true);
    const five = (s: number) =>
      measured(
        [9, 11, 9, 11, 10].map((x) => s * x),
        [noise(1)],
      );
    expect(combine(five(Math.sqrt(13.1 / 4))).isUnsteady).toBe(false);
    expect(combine(five(Math.sqrt(13.5 / 4))).isUnsteady).toBe(true);
  });

  it('show no less than the worst of their records', () => {
    const all = [0.1, 0.3, 0.2].map((floor) => ({ value: 1, contributions: [noise(1)], floor }));
    expect(combine(all).floor).toBe(0.3);
  });

  it('are what one of them is, where there is one', () => {
    const one = { value: 10, contributions: [scale(3), noise(1.2, 1.2)] };
    expect(combine([one])).toEqual({ ...one, isUnsteady: false });
  });
});

describe('whether more measurements can narrow an uncertainty', () => {
  const single = { again: 3, single: 2, looks: 2.72 };

  it('is so where enough of it is random, and not where most is common', () => {
    expect(canNarrow({ contributions: [noise(1)] }, single)).toBe(true);
    expect(canNarrow({ contributions: [scale(1), noise(0.5)] }, single)).toBe(false);
    expect(canNarrow({ contributions: [scale(1)] }, single)).toBe(false);
  });

  it('depends on how often may be measured', () => {
    const contributions = [scale(1), noise(2)];
    expect(canNarrow({ contributions }, { again: 1, single: 2, looks: 2.43 })).toBe(true);
    const even = [scale(1), noise(1)];
    expect(canNarrow({ contributions: even }, { again: 1, single: 2, looks: 2.43 })).toBe(false);
  });
});
