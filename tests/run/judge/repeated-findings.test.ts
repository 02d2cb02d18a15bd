import { describe, expect, it } from 'vitest';
import type { Finding } from '../../../harness/record/run-record.ts';
import { mayBeDecided, repeatedFindings } from '../../../harness/run/judge/repeated-findings.ts';
import { judge } from '../../../harness/verdict/judge.ts';

const looks = { rule: 'guarded', coverageFactor: 2, again: 3 } as const;

interface Facts {
  readonly metric?: string;
  readonly standard?: number;
  readonly common?: number;
  readonly floor?: number;
}

/** What a measurement by itself says of a limit of 10, with a standard uncertainty of 1. */
function finding(value: number, facts: Facts = {}): Finding {
  const { metric = 'level-ratio', standard = 1, common = 0, floor } = facts;
  const limits = { lower: null, upper: 10, target: null, text: 'at most 10' };
  const expanded = 2 * Math.hypot(standard, common);
  const { verdict } = judge(value, expanded, limits, 'guarded', floor);
  return {
    ...{ metric, title: 'Level', of: 'light', unit: '1', shown: '1', source: 's', during: null },
    ...{
      outcome: { measured: true, value },
      limits,
      rule: 'guarded',
      verdict,
      captures: ['light'],
    },
    uncertainty: {
      ...{ expanded, coverageFactor: 2 },
      contributions: [
        { name: 'noise', standard, random: standard },
        { name: 'scale of light', standard: common },
      ],
      ...(floor !== undefined && { floor }),
    },
    reason: verdict === 'pass' ? null : 'a reason',
    evidence: { charts: [], notes: {} },
  };
}

function refused(verdict: 'inconclusive' | 'fail'): Finding {
  const outcome = { measured: false, reason: verdict === 'fail' ? 'dark' : 'below-noise' } as const;
  return { ...finding(0), outcome, uncertainty: null, verdict, reason: 'refused' };
}

const values = (...all: readonly number[]) => all.map((value) => [finding(value)]);
const only = (all: readonly (readonly Finding[])[]): Finding => {
  const [first, ...more] = repeatedFindings(all, looks);
  expect(more).toEqual([]);
  if (!first) throw new Error('no finding');
  return first;
};

describe('of a metric that can be averaged', () => {
  it('one measurement is judged at the wider coverage of all looks', () => {
    expect(finding(7.5).verdict).toBe('pass');
    const one = only(values(7.5));
    expect(one.verdict).toBe('inconclusive');
    expect(one.uncertainty?.coverageFactor).toBeGreaterThan(3);
    expect(one.repeated).toBeUndefined();
    expect(mayBeDecided(one, looks)).toBe(true);
  });

  it('the mean of several is judged, on the captures of all', () => {
    const one = only(values(7.2, 9.4, 7.3, 9.3));
    expect(one).toMatchObject({
      outcome: { value: expect.closeTo(8.3, 9) },
      verdict: 'pass',
      reason: null,
      captures: ['light', 'light', 'light', 'light'],
      repeated: { by: 'mean', values: [7.2, 9.4, 7.3, 9.3] },
    });
    expect(one.uncertainty?.coverageFactor).toBeCloseTo(2.72, 2);
    expect(finding(8.3).verdict).toBe('inconclusive');
  });

  it('each measurement counts, whatever it says', () => {
    expect(only(values(7.2, 9.4, 7.3, 9.3)).verdict).toBe('pass');
    expect(only(values(7, 9, 8, 11.5)).verdict).toBe('inconclusive');
  });

  it('a measurement that fails by itself is final, whatever the mean would say', () => {
    const one = only(values(7, 7, 13.5, 7));
    expect(one).toMatchObject({ verdict: 'fail', outcome: { value: 13.5 } });
    expect(one.repeated).toEqual({ by: 'worst', values: [7, 7, 13.5, 7] });
    // These two do not differ too much to be averaged, and their mean would be inconclusive.
    expect(only(values(10.2, 13.3)).verdict).toBe('fail');
    expect(only([[finding(7)], [refused('fail')], [finding(7)]]).verdict).toBe('fail');
  });

  it('values that differ more than their uncertainty explains are not averaged', () => {
    const one = only([[finding(8, { standard: 0.9 })], [finding(1)], [finding(9)]]);
    expect(one.repeated?.by).toBe('worst');
    expect(one.verdict).toBe('inconclusive');
    expect(one.reason).toContain('differ by more than their uncertainty explains');
    expect(mayBeDecided(one, looks)).toBe(false);
  });

  it('a measurement without a value is not passed over', () => {
    const one = only([[finding(8)], [refused('inconclusive')], [finding(8)]]);
    expect(one).toMatchObject({ verdict: 'inconclusive', repeated: { values: [8, null, 8] } });
    expect(mayBeDecided(one, looks)).toBe(false);
  });

  it('is judged as ever where most of the uncertainty is common, and another measurement is of no use', () => {
    const common = finding(6.5, { common: 1.4 });
    expect(common.verdict).toBe('pass');
    expect(repeatedFindings([[common]], looks)).toEqual([common]);
    const open = finding(9, { common: 1.4 });
    expect(mayBeDecided(open, looks)).toBe(false);
  });

  it('is of no use to measure again where a record could not have shown the limit', () => {
    expect(mayBeDecided(only([[finding(9)]]), looks)).toBe(true);
    expect(mayBeDecided(only([[finding(9, { floor: 11 })]]), looks)).toBe(false);
  });
});

describe('of an extreme', () => {
  const high = (value: number) => finding(value, { metric: 'highest-level' });

  it('the worst measurement counts, at its own coverage', () => {
    const [one] = repeatedFindings([[high(7)], [high(9)], [high(6)]], looks);
    expect(one).toMatchObject({
      outcome: { value: 9 },
      verdict: 'inconclusive',
      uncertainty: { coverageFactor: 2 },
      repeated: { by: 'worst', values: [7, 9, 6] },
    });
    expect(repeatedFindings([[high(7)]], looks)).toEqual([high(7)]);
  });

  it('another measurement cannot turn it into a pass, and is not made', () => {
    expect(mayBeDecided(high(9), looks)).toBe(false);
  });
});

describe('findings of measurements of different shapes', () => {
  it('are matched by their question, and none is lost', () => {
    const broken = { ...refused('fail'), metric: 'firmware-runs' };
    const all = repeatedFindings([[finding(8), finding(7)], [broken]], looks);
    expect(all.map(({ metric, verdict }) => `${metric} ${verdict}`)).toEqual([
      'level-ratio inconclusive',
      'level-ratio inconclusive',
      'firmware-runs fail',
    ]);
  });
});
