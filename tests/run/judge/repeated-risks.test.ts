import { describe, expect, it } from 'vitest';
import type { ConditionRecord, Finding } from '../../../harness/record/run-record.ts';
import { repeatedCondition, wantsAnother } from '../../../harness/run/judge/repeated-condition.ts';
import { judge } from '../../../harness/verdict/judge.ts';
import { result } from '../engine/scripted-lane.ts';

/** Student's over the normal distribution's, 95.45 %, at 7 degrees of freedom: what metrics allow for. */
const allowance = 1.2144;
const limit = 100;
const runs = 2500;

/** Deviates of a standard normal distribution, of a seed (Box and Muller; the generator is a multiply-with-carry of 32 bits). */
function deviates(seed: number): () => number {
  let state = seed * 2654435761 + 1;
  const evenly = (): number => {
    state = (Math.imul(state ^ (state >>> 15), state | 1) + 0x6d2b79f5) | 0;
    let mixed = state ^ (state + Math.imul(state ^ (state >>> 7), state | 61));
    mixed ^= mixed >>> 14;
    return ((mixed >>> 0) + 0.5) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(evenly())) * Math.cos(2 * Math.PI * evenly());
}

/** A measurement of a lamp at the limit: scatter of 1, told from eight pieces of its record, and a common error. */
function measured(value: number, told: number): ConditionRecord {
  const standard = allowance * told;
  const limits = { lower: null, upper: limit, target: null, text: 'at most 100' };
  const { verdict } = judge(value, 2 * standard, limits, 'guarded');
  const finding: Finding = {
    ...{ metric: 'level-ratio', title: 'Level', of: 'light', unit: '1', shown: '1', source: 's' },
    ...{ during: null, outcome: { measured: true, value }, limits, rule: 'guarded', verdict },
    uncertainty: {
      ...{ expanded: 2 * standard, coverageFactor: 2 },
      contributions: [{ name: 'scatter', standard, random: told }],
    },
    ...{ reason: null, captures: [], evidence: { charts: [], notes: {} } },
  };
  const task = { condition: { key: 'a' }, repeat: 0 } as Parameters<typeof result>[0];
  return { ...result(task, verdict).condition, findings: [finding] };
}

interface Rates {
  readonly pass: number;
  readonly fail: number;
}

/**
 * How often a lamp whose value is `off` standard deviations from the limit passes and fails, when it is measured up to `again` times more. `common`: the share of
 * the variance, all of it claimed to be random, that is the same in all measurements.
 */
function ratesOf(again: number, common: number, off = 0): Rates {
  const next = deviates(1 + again + 100 * common);
  const looks = { rule: 'guarded', coverageFactor: 2, again } as const;
  const ends = { pass: 0, fail: 0 };
  for (let run = 0; run < runs; run++) {
    const shared = Math.sqrt(common) * next();
    const one = (): ConditionRecord => {
      const value = limit + off + shared + Math.sqrt(1 - common) * next();
      const squares = Array.from({ length: 7 }, () => next() ** 2);
      return measured(value, Math.sqrt(squares.reduce((sum, square) => sum + square, 0) / 7));
    };
    const all = [one()];
    let condition = all[0];
    if (again > 0) {
      condition = repeatedCondition(all, looks);
      while (wantsAnother(condition, looks)) {
        all.push(one());
        condition = repeatedCondition(all, looks);
      }
    }
    const verdict = condition?.verdict;
    if (verdict === 'pass' || verdict === 'fail') ends[verdict]++;
  }
  return { pass: ends.pass / runs, fail: ends.fail / runs };
}

/** Three standard deviations of a rate of 2.3 % among so many runs. */
const chance = 3 * Math.sqrt(0.023 / runs);

describe('a lamp that is exactly at its limit', () => {
  it('passes one measurement in 2.3 % of the cases', () => {
    expect(ratesOf(0, 0).pass).toBeCloseTo(0.023, 2);
  });

  it.each([1, 3, 5])('does not pass more often when it may be measured %i times more', (again) => {
    for (const common of [0, 0.5, 1]) {
      const { pass, fail } = ratesOf(again, common);
      expect(pass, `${common} of it common`).toBeLessThan(0.023 + chance);
      expect(fail, `${common} of it common`).toBeLessThan(0.0275 + chance);
    }
  });
});

describe('a lamp that is two standard deviations within its limit', () => {
  it('is decided more often, the more often it may be measured', () => {
    const passes = [0, 1, 3, 5].map((again) => ratesOf(again, 0, -2).pass);
    expect(passes).toEqual([...passes].sort());
    expect(passes[0]).toBeLessThan(0.45);
    expect(passes[2]).toBeGreaterThan(0.55);
    expect(passes[3]).toBeGreaterThan(0.7);
  });
});
