import { describe, expect, it } from 'vitest';
import { LampFailure } from '../../../harness/bench/errors.ts';
import type { RawCapture } from '../../../harness/bench/ports.ts';
import type { Condition, Criterion } from '../../../harness/plan/plan.ts';
import type { CaptureRecord, ConditionRecord } from '../../../harness/record/run-record.ts';
import { answerFindings, lampFailureFinding } from '../../../harness/run/judge/direct-findings.ts';
import { rejudgeCondition, requestChange } from '../../../harness/run/judge/rejudge-condition.ts';
import { requestDigest } from '../../../harness/run/judge/request-digest.ts';
import { lamp, rigOf, wireOf } from './bench-of.ts';

const criterion: Criterion = {
  metric: 'mean-current',
  of: 'warm',
  parameters: { while: 'always' },
  limits: { lower: 0.3, upper: 0.5, target: 0.4, text: '0.3 A to 0.5 A' },
  line: 1,
};

const condition: Condition = {
  ...{ key: '', values: {}, stimulus: [] },
  captures: [{ signal: 'channel-current', of: 'warm', rate: 1000 }],
  criteria: [criterion],
};

const wire = wireOf({
  signal: 'channel-current',
  of: 'warm',
  unit: 'A',
  standardOffset: 0,
  noise: 0,
});
const bench = { lamp, rig: rigOf([wire, wireOf({ signal: 'frame', of: 'lamp', input: 'f' })]) };

const capture: CaptureRecord = {
  ...{ id: 'channel-current-warm', file: '1.npy', signal: 'channel-current', of: 'warm' },
  ...{ instrument: 'scope', input: 'a', rate: 1000, start: 0, samples: 1000, unit: 'A' },
  ...{ scale: 0.001, offset: 0, clipped: 0, lowest: -2048, highest: 2047, taken: 'at-once' },
};

const [right, wrong] = answerFindings(
  [
    { at: 0, link: 'dali', sent: 'query one', expected: { byte: 1 }, reply: { byte: 1 } },
    { at: 0, link: 'dali', sent: 'query two', expected: { byte: 1 }, reply: null },
  ],
  'simple',
);
if (!right || !wrong) throw new Error('no findings');

const stored: ConditionRecord = {
  ...{ key: '', values: {}, repeat: 0, verdict: 'fail', reason: 'as it was' },
  ...{ startedAt: '2026-11-29T07:00:00Z', duration: 1, attempts: 1 },
  ...{ marks: [], commands: [], captures: [capture] },
  commanded: [{ channel: 'warm', segments: [[0, 1, 1, 1]] }],
  request: requestDigest(condition),
  findings: [right],
};

const codesOf = (level: number) =>
  new Map<string, RawCapture['codes']>([
    ['channel-current-warm', Int16Array.from({ length: 1000 }, (_, k) => level + (k % 2))],
  ]);

const again = (change: Partial<ConditionRecord> = {}, level = 400, own = condition) =>
  rejudgeCondition({ ...stored, ...change }, own, codesOf(level), bench);

describe('a stored condition that is judged again', () => {
  it('keeps the answers of the lamp and has the criteria’s findings anew', () => {
    const { findings, verdict, reason, ...rest } = again();
    expect(findings[0]).toBe(right);
    expect(findings).toHaveLength(2);
    expect(findings[1]).toMatchObject({
      metric: 'mean-current',
      captures: ['channel-current-warm'],
      outcome: { measured: true, value: expect.closeTo(0.4005, 6) },
      verdict: 'pass',
      reason: null,
      rule: 'simple',
    });
    // 1 % of the scale, k = 2.
    expect(Math.abs((findings[1]?.uncertainty?.expanded ?? 0) - 0.008)).toBeLessThan(1e-4);
    expect([verdict, reason]).toEqual(['pass', null]);
    const { findings: _f, verdict: _v, reason: _r, ...before } = stored;
    expect(rest).toEqual(before);
  });

  it('keeps none of the findings that criteria had before', () => {
    const before = { ...right, metric: 'mean-current', title: 'as it was' };
    const { findings } = again({ findings: [right, before] });
    expect(findings.map(({ title }) => title)).toEqual([right.title, 'Mean LED current']);
    expect(again({ findings: [before] }).findings).toHaveLength(1);
  });

  it('ends as its worst finding does, with its reason', () => {
    expect(again({}, 600)).toMatchObject({
      verdict: 'fail',
      reason: expect.stringContaining('wanted 0.3 A to 0.5 A: above the upper limit'),
    });
    expect(again({ findings: [wrong] })).toMatchObject({
      verdict: 'fail',
      reason: 'query two was to be answered with 0x01, found silence',
    });
  });

  it('stays as it was where nothing was judged, or the firmware broke down', () => {
    const nothing = { ...stored, findings: [] };
    expect(rejudgeCondition(nothing, condition, new Map(), bench)).toBe(nothing);
    const failed = { ...stored, findings: [right, lampFailureFinding(new LampFailure('it'))] };
    expect(rejudgeCondition(failed, condition, codesOf(400), bench)).toBe(failed);
  });

  it('needs the codes of each of its captures', () => {
    expect(() => rejudgeCondition(stored, condition, new Map(), bench)).toThrow(
      'expected the codes of every capture, found none of channel-current-warm',
    );
  });

  it('has the story that was stored, to its end, and windows by its marks', () => {
    const marks = [
      { name: 'first', at: 0 },
      { name: 'second', at: 0.5 },
    ];
    const step = Int16Array.from({ length: 1000 }, (_, k) => (k < 500 ? 400 : 200) + (k % 2));
    const during = (name: string) =>
      rejudgeCondition(
        { ...stored, marks, duration: 0.7 },
        { ...condition, criteria: [{ ...criterion, during: name }] },
        new Map([[capture.id, step]]),
        bench,
      ).findings[1]?.outcome;
    expect(during('first')).toMatchObject({ value: expect.closeTo(0.4005, 6) });
    expect(during('second')).toMatchObject({ value: expect.closeTo(0.2005, 6) });
  });

  it('is judged by frames and readings as they were', () => {
    const frame: CaptureRecord = {
      ...capture,
      ...{ id: 'frame', signal: 'frame', of: 'lamp', input: 'f', unit: '1', start: 0.5 },
      ...{ samples: 400, frame: { lineTime: 1e-5, exposure: 1e-3 } },
    };
    const rows = Float32Array.from({ length: 400 }, (_, k) => (Math.floor(k / 50) % 2 ? 3 : 1));
    const readings = [0, 0.5, 0.9].map((at) => ({
      ...{ capture: 'colour', at, integration: 0.1, X: 95, Y: 100, Z: 108 },
      ...{ state: 'good' as const, of: 'lamp' },
      spectrum: { from: 380e-9, step: 5e-9, values: [1, 2] },
    }));
    const limits = { lower: null, upper: 0.9, target: null, text: 'at most 0.9' };
    const criteria = [
      { metric: 'frame-band-contrast', of: 'lamp', parameters: {}, limits, line: 1 },
      { metric: 'chromaticity-x', of: 'lamp', parameters: {}, limits, line: 2 },
    ];
    const { findings } = rejudgeCondition(
      { ...stored, captures: [frame], readings },
      { ...condition, criteria },
      new Map([['frame', rows]]),
      bench,
    );
    expect(findings[1]?.outcome).toEqual({ measured: true, value: expect.closeTo(0.5, 6) });
    expect(findings[1]?.captures).toEqual(['frame']);
    expect(findings[1]?.uncertainty?.floor).toEqual(expect.any(Number));
    expect(findings[2]?.uncertainty).not.toHaveProperty('floor');
    expect(findings[2]?.outcome).toEqual({ measured: true, value: expect.closeTo(95 / 303, 6) });
    expect(findings[2]?.captures).toEqual(['colour']);
  });
});

describe('the instants of a stored story', () => {
  const fading = { ...criterion, metric: 'fade-duration', parameters: {} };
  const own = { ...condition, criteria: [fading] };
  /** A straight-line fade in the log domain from 1 to 0.1 between 1 and 2 s. */
  const codes = new Map([
    [
      capture.id,
      Int16Array.from({ length: 4000 }, (_, k) =>
        Math.round(2000 * 10 ** -Math.min(1, Math.max(0, (k + 0.5) / 1000 - 1)) + (k % 3) - 1),
      ),
    ],
  ]);
  const fade: ConditionRecord = {
    ...stored,
    duration: 99,
    captures: [{ ...capture, samples: 4000 }],
    commanded: [
      { channel: 'nobody', segments: [[0, 4, 1, 1]] },
      {
        channel: 'warm',
        segments: [
          [0, 1, 1, 1],
          [1, 2, 1, 0.1],
          [2, 4, 0.1, 0.1],
        ],
      },
    ],
  };
  const found = (change: Partial<ConditionRecord>) =>
    rejudgeCondition({ ...fade, ...change }, own, codes, bench).findings[1];

  it('are those of the segments, and channels that the lamp does not have are left out', () => {
    expect(found({})?.outcome).toEqual({ measured: true, value: expect.closeTo(1, 2) });
  });

  it('are known as well as the worst known command and the worst known record are', () => {
    const delayed = { ...condition, criteria: [{ ...fading, metric: 'fade-start-delay' }] };
    const command = { at: 1, link: 'console', verb: 'fade', text: '', reply: null };
    const instantOf = (change: Partial<ConditionRecord>) =>
      rejudgeCondition(
        { ...fade, ...change },
        delayed,
        codes,
        bench,
      ).findings[1]?.uncertainty?.contributions.find(
        ({ name }) => name === 'instant of the command',
      )?.standard;
    expect(instantOf({})).toBe(0);
    const commands = [
      { ...command, standardInstant: 0.003 },
      { ...command, standardInstant: 0.001 },
      command,
    ];
    expect(instantOf({ commands })).toBeCloseTo(0.003, 12);
    const captures = fade.captures.map((one) => ({ ...one, standardStart: 0.004 }));
    expect(instantOf({ captures })).toBeCloseTo(0.004, 12);
    expect(instantOf({ commands, captures })).toBeCloseTo(0.005, 12);
  });

  it('of a supply lie anywhere between its order and its confirmation', () => {
    const rising = new Map([
      [capture.id, Int16Array.from({ length: 1000 }, (_, k) => 300 + Math.floor(k / 10) + (k % 2))],
    ]);
    const during = { ...condition, criteria: [{ ...criterion, during: 'told' }] };
    const told = { at: 0.5, link: 'psu', verb: 'supply', text: '', reply: null };
    const doubted = (command: typeof told & { left?: number; confirmed?: number }) =>
      rejudgeCondition(
        { ...stored, marks: [{ name: 'told', at: 0.5 }], commands: [command] },
        during,
        rising,
        bench,
      ).findings[1]?.uncertainty?.contributions.some(
        ({ name, standard }) => name === 'instant of the command' && standard > 0,
      );
    expect(doubted({ ...told, left: 0.5, confirmed: 0.6 })).toBe(true);
    expect(doubted({ ...told, left: 0.5 })).toBe(false);
    expect(doubted({ ...told, confirmed: 0.6 })).toBe(false);
    expect(doubted({ ...told, verb: 'set', left: 0.5, confirmed: 0.6 })).toBe(false);
  });

  it('end where the segments do, not where the condition was planned to', () => {
    // With no segments of the lamp's the planned duration holds.
    const none = found({ commanded: [], duration: 4 });
    expect(none?.outcome).toMatchObject({ measured: false, reason: 'no-fade' });
  });
});

describe('why a stored condition answers to no other request', () => {
  it('is told by its digests', () => {
    expect(requestChange(stored, condition)).toBeNull();
    const louder = {
      ...condition,
      stimulus: [{ verb: 'hold' }] as unknown as Condition['stimulus'],
    };
    expect(requestChange(stored, louder)).toBe('its stimulus has been changed');
    expect(requestChange(stored, { ...condition, captures: [] })).toBe(
      'its captures have been changed',
    );
    const { request: _, ...untold } = stored;
    expect(requestChange(untold, condition)).toBe(
      'the run does not tell what stimulus and captures it was made with',
    );
    expect(requestChange({ ...untold, findings: [] }, condition)).toBeNull();
  });
});
