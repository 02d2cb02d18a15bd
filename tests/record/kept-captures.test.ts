import { describe, expect, it } from 'vitest';
import {
  keepsCaptures,
  leftAwayText,
  withoutCaptures,
} from '../../harness/record/kept-captures.ts';
import {
  sampleCapture,
  sampleCondition,
  sampleFinding,
  sampleRecord,
  sampleSpec,
} from './sample-record.ts';

const limits = { lower: 0, upper: 2, target: 1, text: '1 ± 100 %' };
const at = (value: number) =>
  sampleFinding({ outcome: { measured: true, value }, verdict: 'pass', reason: null, limits });
const passed = (value: number) => sampleCondition({ verdict: 'pass', findings: [at(value)] });

describe('captures of failures', () => {
  it('are those of conditions that did not pass, whatever the ending', () => {
    for (const verdict of ['fail', 'inconclusive', 'error', 'not run'] as const)
      expect(keepsCaptures({ verdict, findings: [] }, 'failures')).toBe(true);
    expect(keepsCaptures({ verdict: 'pass', findings: [] }, 'failures')).toBe(false);
  });

  it('and of those with less than a tenth of a tolerance left', () => {
    expect(keepsCaptures(passed(1.95), 'failures')).toBe(true);
    expect(keepsCaptures(passed(1.85), 'failures')).toBe(false);
  });

  it('but not where an answer is right, and so on its limit', () => {
    const right = { lower: 1, upper: null, target: 1, text: 'understood' };
    const answer = { ...at(1), limits: right };
    expect(keepsCaptures({ verdict: 'pass', findings: [answer] }, 'failures')).toBe(false);
  });
});

it('all are kept, or none, whatever came out', () => {
  const failed = { verdict: 'fail', findings: [] } as const;
  expect(keepsCaptures(passed(1), 'all')).toBe(true);
  expect(keepsCaptures({ ...failed, findings: [] }, 'none')).toBe(false);
});

it('a record counts what it left away', () => {
  const whole = sampleCondition({ captures: [sampleCapture()] });
  const run = (conditions: (typeof whole)[]) =>
    sampleRecord({ specs: [sampleSpec('a', conditions)] });
  expect(leftAwayText(run([whole]))).toBeNull();
  expect(leftAwayText(run([whole, withoutCaptures(whole)]))).toBe('1 of 2 captures');
});
