import { describe, expect, it } from 'vitest';
import type { Answered, Heard, HeardStory } from '../../../harness/bench/heard.ts';
import type { Rig } from '../../../harness/bench/rig.ts';
import type { Commanded } from '../../../harness/measure/observation.ts';
import type { Condition } from '../../../harness/plan/plan.ts';
import { conditionSchema } from '../../../harness/record/run-record.ts';
import { heldAnswers } from '../../../harness/run/judge/held-answers.ts';
import { heardPass, passFrom, storedPass } from '../../../harness/run/records/heard-pass.ts';
import { rig } from '../../firmware/judge.ts';

const events: readonly Heard[] = [
  { kind: 'supply', at: 10, volts: 48 },
  { kind: 'console', at: 11, line: 'dim 50' },
  { kind: 'console-bytes', at: 11.5, bytes: [0, 255, 0] },
  { kind: 'dali', at: 12, frame: [0xa3, 0] },
  { kind: 'dali-bus', at: 12.5, powered: false },
  { kind: 'dmx', at: 13, startCode: 0, slots: [0, 7, ...new Array<number>(500).fill(0)] },
  { kind: 'dmx', at: 13, startCode: 0, slots: [7], unframed: true },
  { kind: 'dmx-stops', at: 13 },
  { kind: 'sacn', at: 14, datagram: [] },
  { kind: 'reset', at: 15 },
  { kind: 'air', at: 16, celsius: -20 },
];
const answered: readonly Answered[] = [
  { kind: 'dali', at: 12, byte: null },
  { kind: 'console', at: 11, lines: ['ok'] },
];

const asks = { criteria: [{ metric: 'wrong-answers' }] } as unknown as Condition;
const commanded: Commanded = {
  ...{ channels: [], marks: [], duration: 1 },
  curve: { kind: 'logarithmic', bottom: 0.001 },
};

interface Bench {
  readonly story?: Partial<HeardStory>;
  readonly rig?: Partial<Rig>;
  readonly kind?: 'real' | 'virtual';
  readonly commanded?: Partial<Commanded>;
  readonly condition?: Condition;
}

function passOf({ story, rig: change, kind = 'virtual', condition = asks, ...more }: Bench = {}) {
  const clock = { kind, now: () => 20, waitUntil: () => Promise.resolve() };
  const heard = () => ({ heard: events, answered, ...story });
  const task = { zero: 12, solo: null, rig: { ...rig, ...change }, condition };
  return heardPass({ clock, heard }, task, { ...commanded, ...more.commanded });
}

describe('what was sent to the lamp, as a run keeps it', () => {
  it('is on the condition’s time line', () => {
    const pass = passOf();
    expect(pass?.heard.map(({ at }) => at)).toEqual(events.map(({ at }) => at - 12));
    expect(pass).toMatchObject({ standardInstant: 0, isFresh: true });
  });

  it('comes back from the record as it was', () => {
    const pass = passOf();
    if (!pass) throw new Error('expected a pass');
    const text = JSON.stringify([storedPass(pass)]);
    // 500 slots of 0 are not written out.
    expect(text.length).toBeLessThan(900);
    const [read] = conditionSchema.shape.heard.parse(JSON.parse(text)) ?? [];
    expect(read && passFrom(read)).toEqual(pass);
  });

  it('is nothing where no criterion asks, or the bench cannot tell', () => {
    expect(passOf({ condition: { ...asks, criteria: [] } })).toBeNull();
    const clock = { kind: 'real', now: () => 0, waitUntil: () => Promise.resolve() } as const;
    const task = { zero: 0, solo: null, rig, condition: asks };
    expect(heardPass({ clock }, task, commanded)).toBeNull();
  });

  it('is timed on a rig as its commands are', () => {
    const slowest = new Map([['console', 0.012]]);
    const pass = passOf({ kind: 'real', story: { slowest } });
    expect(pass?.isFresh).toBe(false);
    // A rectangle of 12 ms, in whose middle the instant is.
    expect(pass?.standardInstant).toBeCloseTo(0.012 / Math.sqrt(12), 9);
    const figures = { delay: 0.004, scatter: 1e-3, exchange: 0.02 };
    const seen = { digitiser: 'digitiser', seen: 'light', edges: 20, date: '2026-11-02' } as const;
    const timing = [{ link: 'console', ...figures, ...seen }];
    const found = passOf({ kind: 'real', story: { slowest }, rig: { timing } });
    expect(found?.standardInstant).toBeCloseTo(1e-3, 9);
    expect(found?.heard.find(({ kind }) => kind === 'console')?.at).toBeCloseTo(-0.996, 9);
    expect(found?.answered[1]?.at).toBeCloseTo(-0.996, 9);
    expect(found?.heard.find(({ kind }) => kind === 'dali')?.at).toBe(0);
  });

  it('is as uncertain on a rig as its slowest change of the supply', () => {
    const pass = passOf({ kind: 'real', commanded: { supplyChanges: [{ from: 0, to: 0.06 }] } });
    expect(pass?.standardInstant).toBeCloseTo(0.06 / Math.sqrt(3), 9);
  });
});

describe('answers beside those that the model allows', () => {
  const held = (oneOf: Parameters<typeof heldAnswers>[0][number]['oneOf'], answer: Answered) => {
    const { kind: link } = answer;
    const of = events.findIndex(({ kind }) => kind === link);
    return heldAnswers([{ of, link, oneOf }], events, [answer])[0];
  };
  const byte = (own: number | null): Answered => ({ kind: 'dali', at: 12, byte: own });
  const lines = (...own: string[]): Answered => ({ kind: 'console', at: 11, lines: own });

  it.each([
    [['silence'], byte(null), true],
    [['silence'], byte(3), false],
    [[{ byte: 3 }], byte(3), true],
    [[{ byte: 3 }], byte(4), false],
    [[{ byte: 3 }], byte(null), false],
    [[{ byte: 3 }, 'silence'], byte(null), true],
    [['some-byte'], byte(9), true],
    [['some-byte'], byte(null), false],
    [['any'], byte(9), null],
    [[{ line: 'ok' }], lines('log', 'ok'), true],
    [[{ line: 'ok' }], lines('no'), false],
    [[{ line: 'ok' }], lines(), false],
    [['silence'], lines(), true],
    [['silence'], lines('ok'), false],
    [['other-line'], lines('no'), true],
    [['other-line'], lines(), false],
  ] as const)('%j and %j: %s', (oneOf, answer, isRight) => {
    expect(held(oneOf, answer)?.isRight).toBe(isRight);
  });

  it('cannot be held where nobody listened', () => {
    const [one] = heldAnswers([{ of: 3, link: 'dali', oneOf: ['silence'] }], events, []);
    expect(one).toMatchObject({ isRight: null, found: 'nobody listened', allowed: 'nothing' });
    expect(one?.asked).toBe('DALI A3 00 at 12.000 s');
  });
});
