import { describe, expect, it } from 'vitest';
import type { SignalRecord } from '../../../harness/measure/observation.ts';
import type { Criterion } from '../../../harness/plan/plan.ts';
import { judgeCondition } from '../../../harness/run/judge/judge-condition.ts';
import type { ObservedCondition } from '../../../harness/run/judge/observed-condition.ts';
import { recorded } from '../../measure/recorded.ts';
import { lamp } from './bench-of.ts';

/** A second of 0.4 A with ripple of ± 0.04 A at 50 Hz, then one of 0.2 A. */
function current(factor = 1) {
  const samples = Float64Array.from({ length: 20_000 }, (_, k) => {
    const level = k < 10_000 ? 0.4 : 0.2;
    return factor * (level + 0.1 * level * Math.sin((2 * Math.PI * 50 * k) / 10_000));
  });
  return { samples, rate: 10_000, start: 0, unit: 'A', clipped: 0 } as const;
}

const steady = { from: 0, to: 2, startLevel: 1, endLevel: 1 };

function observed(records: readonly SignalRecord[]): ObservedCondition {
  return {
    records,
    colour: [],
    frames: [],
    selfReports: [],
    probes: [],
    modelled: () => null,
    commanded: {
      channels: lamp.channels.map((channel) => ({ ...channel, segments: [steady] })),
      marks: [
        { name: 'bright', at: 0 },
        { name: 'dim', at: 1 },
      ],
      duration: 2,
      curve: lamp.curve,
    },
    calibration: records.map(({ capture, signal, of }) => ({
      ...{ capture, signal, of, standardScale: 0.01, timeBase: 0, step: 0 },
    })),
  };
}

const warm = recorded('channel-current', 'warm', current());
const cool = recorded('channel-current', 'cool', current(0.5));
const both = observed([warm, cool]);

const criterion: Criterion = {
  metric: 'mean-current',
  of: 'warm',
  during: 'bright',
  parameters: { while: 'always' },
  limits: { lower: 0.3, upper: 0.5, target: 0.4, text: '0.3 A to 0.5 A' },
  line: 7,
};

const setup = { lamp, rule: 'guarded', coverageFactor: 2 } as const;

const judged = (change: Partial<Criterion> = {}, seen = both, by: Partial<typeof setup> = {}) =>
  judgeCondition([{ ...criterion, ...change }], seen, { ...setup, ...by });

describe('a finding', () => {
  it('says all that it rests on: metric, subject, window, limits, captures, uncertainty', () => {
    const [finding, ...others] = judged();
    expect(others).toEqual([]);
    expect(finding).toMatchObject({
      metric: 'mean-current',
      title: 'Mean LED current',
      of: 'warm',
      unit: 'A',
      shown: 'mA',
      source: 'common-practice',
      during: 'bright',
      rule: 'guarded',
      limits: criterion.limits,
      captures: ['channel-current-warm'],
      outcome: { measured: true, value: expect.closeTo(0.4, 6) },
      verdict: 'pass',
      reason: null,
      evidence: { charts: [], notes: {} },
    });
    const {
      expanded = 0,
      coverageFactor,
      contributions = [],
      ...rest
    } = finding?.uncertainty ?? {};
    // A scale known to 1 %, twice.
    expect(expanded).toBeCloseTo(0.008, 4);
    expect(coverageFactor).toBe(2);
    expect(contributions.map((one) => Object.keys(one))).toContainEqual(['name', 'standard']);
    expect(contributions.some(({ standard }) => Math.abs(standard - 0.004) < 1e-5)).toBe(true);
    expect(rest).toEqual({});
  });

  it('has the window and the parameters of its criterion', () => {
    const value = (change: Partial<Criterion>) => judged(change)[0]?.outcome;
    expect(value({ during: 'dim' })).toEqual({ measured: true, value: expect.closeTo(0.2, 6) });
    const { during: _, ...undated } = criterion;
    const [whole] = judgeCondition([undated], both, setup);
    expect(whole?.outcome).toEqual({ measured: true, value: expect.closeTo(0.3, 3) });
    expect(whole?.during).toBeNull();
    // While on is what lies above three quarters of the way from 0.2 to 0.4 A: the upper level.
    expect(value({ during: 'bright', parameters: { while: 'on' } })).toEqual({
      measured: true,
      value: expect.closeTo(0.4, 6),
    });
  });

  it('is the bench’s where the window is not there', () => {
    expect(judged({ during: 'nowhere' })[0]).toMatchObject({
      outcome: { measured: false, reason: 'empty' },
      uncertainty: null,
      verdict: 'error',
      evidence: { charts: [], notes: {} },
    });
  });

  it('relates to the reference window that its criterion names', () => {
    const [finding] = judged({
      metric: 'regulation',
      parameters: {},
      during: 'dim',
      reference: 'bright',
      limits: { lower: null, upper: 0.5, target: null, text: 'at most 50 %' },
    });
    // From 0.4 to 0.2 about 0.3.
    expect(finding?.outcome).toEqual({ measured: true, value: expect.closeTo(2 / 3, 4) });
    expect(finding).toMatchObject({ verdict: 'fail', shown: '%' });
    expect(finding?.evidence.notes).toMatchObject({
      'mean-1': expect.closeTo(0.4, 6),
      'mean-2': expect.closeTo(0.2, 6),
    });
  });

  it('that does not pass says in words what is, what was wanted, and why', () => {
    const [failed] = judged({ during: 'dim' });
    expect(failed).toMatchObject({ verdict: 'fail' });
    expect(failed?.reason).toMatch(
      /^Mean LED current is 200(\.\d+)? ± 4(\.\d+)? mA, wanted 0\.3 A to 0\.5 A: below the lower limit by more than the uncertainty$/,
    );
    const close = { lower: 0.395, upper: null, target: null, text: 'at least 395 mA' };
    expect(judged({ limits: close })[0]).toMatchObject({
      verdict: 'inconclusive',
      reason: expect.stringContaining('wanted at least 395 mA: the uncertainty straddles'),
    });
    expect(judged({ limits: close }, both, { rule: 'simple' as 'guarded' })[0]).toMatchObject({
      verdict: 'pass',
      rule: 'simple',
    });
    expect(judged({}, both, { coverageFactor: 3 as 2 })[0]?.uncertainty).toMatchObject({
      coverageFactor: 3,
      expanded: expect.closeTo(0.012, 4),
    });
  });

  it('keeps the floor of its metric', () => {
    const [finding] = judged({
      metric: 'modulation',
      parameters: {},
      limits: { lower: null, upper: 0.1, target: null, text: 'at most 10 %' },
    });
    expect(finding?.uncertainty?.floor).toEqual(expect.any(Number));
    expect(finding?.evidence.charts.length).toBeGreaterThan(0);
  });
});

describe('subjects of a criterion', () => {
  it('are each channel in the lamp’s order, and criteria stay in the spec’s', () => {
    const found = judgeCondition(
      [
        { ...criterion, of: 'each-channel' },
        { ...criterion, during: 'dim' },
      ],
      both,
      setup,
    );
    expect(found.map(({ of, during }) => [of, during])).toEqual([
      ['warm', 'bright'],
      ['cool', 'bright'],
      ['warm', 'dim'],
    ]);
    expect(found[1]?.outcome).toEqual({ measured: true, value: expect.closeTo(0.2, 6) });
    expect(found[1]?.captures).toEqual(['channel-current-cool']);
  });

  it('are held against their own figure of the lamp file', () => {
    const limits = {
      derived: 'channel.max-current',
      relative: 0.1,
      absolute: null,
      text: '± 10 %',
    };
    const found = judged({ of: 'each-channel', limits });
    expect(found.map((one) => one.limits)).toEqual([
      {
        lower: expect.closeTo(0.495, 9),
        upper: expect.closeTo(0.605, 9),
        target: 0.55,
        text: '550 mA (± 10 %)',
      },
      {
        lower: expect.closeTo(0.63, 9),
        upper: expect.closeTo(0.77, 9),
        target: 0.7,
        text: '700 mA (± 10 %)',
      },
    ]);
  });

  it('are not judged, and nothing is computed, where the lamp file has no such figure', () => {
    const limits = { derived: 'stage.colour', relative: 0.1, absolute: null, text: '± 10 %' };
    expect(judged({ limits })).toEqual([
      {
        metric: 'mean-current',
        line: 7,
        title: 'Mean LED current',
        of: 'warm',
        unit: 'A',
        shown: 'mA',
        source: 'common-practice',
        during: 'bright',
        rule: 'guarded',
        limits: { lower: null, upper: null, target: null, text: '± 10 %' },
        outcome: {
          measured: false,
          reason: 'no-reference',
          note: 'the lamp file has no figure stage.colour',
        },
        uncertainty: null,
        captures: [],
        verdict: 'not run',
        reason: 'the lamp file has no figure stage.colour',
        evidence: { charts: [], notes: {} },
      },
    ]);
  });

  it('are read from the signal that the criterion names', () => {
    const light = recorded('light', 'warm', { ...current(2), unit: 'lx' });
    const two = observed([warm, light]);
    const value = (signal: Criterion['signal']) => {
      const limits = { lower: null, upper: 1, target: null, text: 'at most 1' };
      const change = { metric: 'regulation', parameters: {}, reference: 'dim', limits };
      const [finding] = judged({ ...change, ...(signal && { signal }) }, two);
      return finding?.captures;
    };
    expect(value('light')).toEqual(['light-warm']);
    expect(value('channel-current')).toEqual(['channel-current-warm']);
    expect(value(undefined)).toEqual(['channel-current-warm']);
  });
});

describe('what was not measurable', () => {
  it('ends by whose it is, with its facts and its sentence', () => {
    const clipped = recorded('channel-current', 'warm', { ...current(), clipped: 3 });
    expect(judged({}, observed([clipped]))[0]).toMatchObject({
      outcome: { measured: false, reason: 'saturated', note: 'warm' },
      uncertainty: null,
      captures: ['channel-current-warm'],
      verdict: 'error',
      reason: "samples at the end of the converter's range (warm)",
    });
    expect(judged({}, observed([]))[0]).toMatchObject({
      captures: [],
      verdict: 'error',
      reason: 'nothing was recorded for it (no channel-current of warm)',
    });
    const dark = recorded('channel-current', 'warm', current(0));
    const limits = { lower: null, upper: 0.1, target: null, text: '' };
    const change = { metric: 'regulation', parameters: {}, reference: 'dim', limits };
    expect(judged(change, observed([dark]))[0]).toMatchObject({
      outcome: { measured: false, reason: 'dark' },
      verdict: 'fail',
    });
  });

  it('is not asked of a metric that nobody knows', () => {
    expect(() => judged({ metric: 'brightness' })).toThrow('no metric brightness');
  });
});
