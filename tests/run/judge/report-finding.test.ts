import { describe, expect, it } from 'vitest';
import type { ReportExpectation } from '../../../harness/plan/report-expectation.ts';
import { reportFinding } from '../../../harness/run/judge/report-finding.ts';

const wanted: ReportExpectation = {
  against: 'value',
  value: 20,
  tolerance: 0.1,
  relative: true,
  dimension: 'power',
  text: '20 W ± 10 %',
};

const said = {
  property: 'luminaire-input-power' as const,
  expected: wanted,
  found: 20.5 as number | string,
  target: 20,
  standard: 0.25,
};

const setup = { rule: 'guarded', coverageFactor: 2 } as const;

describe('what a lamp says of itself', () => {
  it('is held against what it had to say, as well as it is known', () => {
    expect(reportFinding(said, setup)).toEqual({
      metric: 'reply',
      title: 'Nominal input power, as the lamp says',
      of: 'lamp',
      unit: 'W',
      shown: 'W',
      source: 'the spec itself',
      during: null,
      limits: { lower: 18, upper: 22, target: 20, text: 'luminaire-input-power: 20 W ± 10 %' },
      rule: 'guarded',
      captures: [],
      evidence: { charts: [], notes: {} },
      outcome: { measured: true, value: 20.5 },
      uncertainty: {
        expanded: 0.5,
        coverageFactor: 2,
        contributions: [{ name: 'step and instants of the reports', standard: 0.25 }],
      },
      verdict: 'pass',
      reason: null,
    });
    expect(reportFinding({ ...said, found: 21.8 }, setup).verdict).toBe('inconclusive');
    expect(reportFinding({ ...said, found: 21.8 }, { ...setup, rule: 'simple' })).toMatchObject({
      verdict: 'pass',
      rule: 'simple',
    });
    expect(reportFinding(said, { ...setup, coverageFactor: 3 }).uncertainty).toMatchObject({
      expanded: 0.75,
      coverageFactor: 3,
    });
  });

  it('fails in words, with the figure that follows from the condition where it does', () => {
    const far = { ...said, found: 30 };
    expect(reportFinding(far, setup).reason).toBe(
      'Nominal input power, as the lamp says, is 30.00 ± 0.50 W, wanted 20 W ± 10 %: above the upper limit by more than the uncertainty',
    );
    const follows = { ...far, expected: { ...wanted, against: 'elapsed' as const } };
    expect(reportFinding(follows, setup).reason).toContain('wanted 20 W ± 10 % (20');
  });

  it('lies within an absolute half-width, about a target of either sign', () => {
    const absolute = { ...wanted, relative: false, tolerance: 3 };
    expect(reportFinding({ ...said, expected: absolute, target: -5 }, setup).limits).toMatchObject({
      lower: -8,
      upper: -2,
      target: -5,
    });
    expect(reportFinding({ ...said, target: -5 }, setup).limits).toMatchObject({
      lower: -5.5,
      upper: -4.5,
    });
  });

  it('is a number without uncertainty where it is to be met exactly', () => {
    const exact = { ...said, expected: { ...wanted, tolerance: 0 } };
    expect(reportFinding({ ...exact, found: 20 }, setup)).toMatchObject({
      uncertainty: null,
      verdict: 'pass',
    });
    expect(reportFinding({ ...exact, found: 20.1 }, setup)).toMatchObject({
      uncertainty: null,
      verdict: 'fail',
    });
  });

  it('fails where the lamp has no answer that can be read', () => {
    expect(reportFinding({ ...said, found: 'did not answer' }, setup)).toMatchObject({
      outcome: { measured: false, reason: 'no-record', note: 'did not answer' },
      uncertainty: null,
      verdict: 'fail',
      reason: 'asked for its luminaire-input-power, the lamp did not answer',
    });
  });
});
