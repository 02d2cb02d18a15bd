import { describe, expect, it } from 'vitest';
import { judge } from '../../harness/verdict/judge.ts';
import type { Limits } from '../../harness/verdict/limits.ts';

const atMost = (upper: number): Limits => ({ lower: null, upper, target: null, text: '' });
const atLeast = (lower: number): Limits => ({ lower, upper: null, target: null, text: '' });
const between = (lower: number, upper: number): Limits => ({
  lower,
  upper,
  target: null,
  text: '',
});

describe('judge', () => {
  // Worked set, computed from the definitions of ILAC-G8:09/2019 4.2: limit 0.40, U = 0.04, so AL = 0.36.
  it.each([
    [0.35, 'pass'],
    [0.36, 'pass'],
    [0.36001, 'inconclusive'],
    [0.38, 'inconclusive'],
    [0.4, 'inconclusive'],
    [0.42, 'inconclusive'],
    [0.44, 'inconclusive'],
    [0.44001, 'fail'],
    [0.45, 'fail'],
  ])('guarded: %f against at most 0.40 with U = 0.04 is %s', (value, verdict) => {
    expect(judge(value, 0.04, atMost(0.4), 'guarded').verdict).toBe(verdict);
  });

  it.each([
    [0.39999, 'pass'],
    [0.4, 'pass'],
    [0.40001, 'fail'],
  ])('simple: %f against at most 0.40 is %s, whatever the uncertainty', (value, verdict) => {
    expect(judge(value, 0.04, atMost(0.4), 'simple').verdict).toBe(verdict);
  });

  it.each(['simple', 'guarded'] as const)(
    'passes nothing that the record could not have shown, by the %s rule',
    (rule) => {
      expect(judge(0, 0, atMost(0.4), rule, 0.41).verdict).toBe('inconclusive');
      expect(judge(0, 0, atMost(0.4), rule, 0.4).verdict).toBe('pass');
      expect(judge(0.5, 0, atMost(0.4), rule, 0.41).verdict).toBe('fail');
      expect(judge(0.5, 0, atLeast(0.4), rule, 0.6).verdict).toBe('pass');
    },
  );

  it('passes an exact 0 that sits on a limit of 0, where no rounding is allowed for', () => {
    for (const rule of ['simple', 'guarded'] as const) {
      expect(judge(0, 0, atMost(0), rule, 0).verdict).toBe('pass');
      expect(judge(0, 0, atLeast(0), rule).verdict).toBe('pass');
    }
  });

  it('treats a lower limit as the mirror of an upper one', () => {
    for (const rule of ['simple', 'guarded'] as const)
      for (let value = -1; value <= 1; value += 0.01)
        expect(judge(value, 0.1, atLeast(-0.5), rule).verdict).toBe(
          judge(-value, 0.1, atMost(0.5), rule).verdict,
        );
  });

  it('holds a two-sided tolerance on both sides', () => {
    const verdicts = [8.7, 8.9, 9.1, 9.3, 10, 10.7, 10.9, 11.1, 11.3].map(
      (value) => judge(value, 0.25, between(9, 11), 'guarded').verdict,
    );
    expect(verdicts).toEqual([
      'fail',
      'inconclusive',
      'inconclusive',
      'pass',
      'pass',
      'pass',
      'inconclusive',
      'inconclusive',
      'fail',
    ]);
  });

  it.each([
    [0.5, 'guarded', atMost(0.4), 'above the upper limit by more than the uncertainty'],
    [0.5, 'simple', atMost(0.4), 'above the upper limit'],
    [0.3, 'guarded', atLeast(0.4), 'below the lower limit by more than the uncertainty'],
    [0.3, 'simple', atLeast(0.4), 'below the lower limit'],
    [0.3, 'guarded', atMost(0.4), 'inside the limits by more than the uncertainty'],
    [0.3, 'simple', atMost(0.4), 'inside the limits'],
    [0.41, 'guarded', atMost(0.4), 'the uncertainty straddles the upper limit'],
    [0.39, 'guarded', atLeast(0.4), 'the uncertainty straddles the lower limit'],
  ] as const)('says of %f by the %s rule why it is so', (value, rule, limits, reason) => {
    expect(judge(value, 0.04, limits, rule).reason).toBe(reason);
  });

  it('says why it holds nothing against the limits', () => {
    const none: Limits = { lower: null, upper: null, target: 3, text: '' };
    expect(judge(3, 0.1, none, 'simple').reason).toBe('the tolerance names no limit');
    expect(judge(Number.NaN, 0.1, atMost(1), 'simple').reason).toBe(
      'there is no finite value and uncertainty to hold against the limit',
    );
    expect(judge(0, 0, atMost(1), 'simple', 2).reason).toBe(
      'the record could not have shown a value at the limit',
    );
  });

  it('allows for rounding in proportion to the limit, no more', () => {
    for (const limit of [1000, -1000]) {
      const beyond = (parts: number) => 1000 * parts;
      expect(judge(limit + beyond(0.5e-12), 0, atMost(limit), 'simple').verdict).toBe('pass');
      expect(judge(limit + beyond(4e-12), 0, atMost(limit), 'simple').verdict).toBe('fail');
      expect(judge(limit - beyond(0.5e-12), 0, atLeast(limit), 'simple').verdict).toBe('pass');
      expect(judge(limit - beyond(4e-12), 0, atLeast(limit), 'simple').verdict).toBe('fail');
    }
  });

  it('says which limit is straddled', () => {
    expect(judge(9.1, 0.25, between(9, 11), 'guarded').reason).toContain('lower limit');
    expect(judge(10.9, 0.25, between(9, 11), 'guarded').reason).toContain('upper limit');
  });

  it('cannot decide where the guard bands meet, and says so instead of failing', () => {
    for (const expanded of [1, 1.5])
      for (const value of [9, 10, 11]) {
        const { verdict, reason } = judge(value, expanded, between(9, 11), 'guarded');
        expect(verdict).toBe('inconclusive');
        expect(reason).toMatch(/cannot decide.*no acceptance zone/);
      }
  });

  it('still fails what is outside by more than the uncertainty when there is no acceptance zone', () => {
    expect(judge(13, 1.5, between(9, 11), 'guarded').verdict).toBe('fail');
    expect(judge(7, 1.5, between(9, 11), 'guarded').verdict).toBe('fail');
  });

  it('lets an exact value sit on an exact target', () => {
    expect(judge(5, 0, between(5, 5), 'guarded').verdict).toBe('pass');
  });

  it('is not decided by rounding at the acceptance limit', () => {
    // 0.3 - 0.1 is 0.19999999999999998 in binary.
    expect(judge(0.2, 0.1, atMost(0.3), 'guarded').verdict).toBe('pass');
    expect(judge(0.4, 0.1, atMost(0.3), 'guarded').verdict).toBe('inconclusive');
  });

  it('never passes what is not a number', () => {
    for (const bad of [Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY])
      for (const rule of ['simple', 'guarded'] as const) {
        expect(judge(bad, 0.1, atMost(1), rule).verdict).toBe('inconclusive');
        expect(judge(0.1, bad, atMost(1), rule).verdict).toBe('inconclusive');
      }
    expect(judge(0.1, -1, atMost(1), 'guarded').verdict).toBe('inconclusive');
  });

  it('does not pass a tolerance without limits', () => {
    const none: Limits = { lower: null, upper: null, target: 3, text: '' };
    expect(judge(3, 0.1, none, 'simple').verdict).toBe('inconclusive');
  });
});
