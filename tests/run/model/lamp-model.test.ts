import { describe, expect, it } from 'vitest';
import type { ConditionRecord } from '../../../harness/record/run-record.ts';
import { rejudgeCondition } from '../../../harness/run/judge/rejudge-condition.ts';
import { lamp, rig } from '../../firmware/judge.ts';
import { type Fault, ran, specOf } from './run-spec.ts';

/** Level, fade, level on one link. */
const onLink = (link: string) => `
  - set: { level: 60 %, mix: all, link: ${link} }
  - hold: 300 ms
  - fade: { level: 10 %, mix: all, over: 1 s, link: ${link} }
  - hold: 1.3 s
  - set: { level: 100 %, mix: neutral, link: ${link} }
  - hold: 700 ms`;

const powerCycle = `
  - supply: { output: off }
  - hold: 500 ms
  - supply: { volts: nominal, output: on }
  - hold: 1.2 s`;

/** A scene that is stored, left, and gone to. */
const scenes = `
  - set: { level: 100 %, mix: all, link: dali }
  - hold: 300 ms
  - send: { dali: dtr0, value: 170 }
  - send: { dali: set-scene, value: 3 }
  - send: { dali: go-to-scene, value: 3 }
  - hold: 500 ms
  - send: { dali: query-actual-level }
  - send: { dali: level, value: 230 }
  - hold: 500 ms
  - send: { dali: query-actual-level }
  - hold: 100 ms`;

/** MIN LEVEL that came once must not count. */
const once = `
  - set: { level: 60 %, mix: all, link: dali }
  - send: { dali: dtr0, value: 230 }
  - send: { dali: set-min, twice: false }
  - hold: 200 ms
  - send: { dali: level, value: 100 }
  - hold: 500 ms`;

const inFade = `
  - set: { level: 100 %, mix: all, link: console }
  - hold: 300 ms
  - fade: { level: 1 %, over: 2 s, wait: false, link: console }
  - hold: 300 ms
  - set: { level: 80 %, link: console }
  - hold: 500 ms`;

/** Dark, which must not count beside the stream. */
const lowPriority = `
  - set: { level: 100 %, mix: all, link: sacn }
  - hold: 300 ms
  - send: { sacn: [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0], priority: 50 }
  - hold: 300 ms`;

const faulty: readonly (readonly [fault: string, size: number, name: string, steps: string])[] = [
  ['late-channels', 0.2, 'console', onLink('console')],
  ['blackouts', 1, 'dmx', onLink('dmx')],
  ['fade-cut-short', 0.3, 'console', onLink('console')],
  ['dali-curve-offset', 8, 'dali', scenes],
  ['send-twice-ignored', 1, 'a setting that came once', once],
  ['last-command-loses', 1, 'a command in a fade', inFade],
  ['priority-ignored', 1, 'a packet of low priority', lowPriority],
];

describe('a healthy lamp against its model', { timeout: 60_000 }, () => {
  it.each([
    ['console', onLink('console')],
    ['DALI', onLink('dali')],
    ['DMX512', onLink('dmx')],
    ['sACN', onLink('sacn')],
    ['a scene', scenes],
    ['a setting that came once', once],
    ['a command in a fade', inFade],
    ['a packet of low priority', lowPriority],
    ['power', onLink('console') + powerCycle],
  ])('passes: %s', async (_, steps) => {
    const { condition } = await ran(specOf(steps));
    expect(condition.verdict, reasons(condition)).toBe('pass');
    // Most of the window was really held.
    const [first] = condition.findings;
    expect(Number(first?.evidence.notes['held-loosely'] ?? 0)).toBeLessThan(0.3);
  });
});

describe('a faulty lamp against its model', { timeout: 60_000 }, () => {
  it.each(faulty)('%s of %d fails: %s', async (fault, size, _, steps) => {
    const { condition } = await ran(specOf(steps), [{ fault, size }]);
    expect(condition.verdict, reasons(condition)).toBe('fail');
    const failed = condition.findings.find(({ verdict }) => verdict === 'fail');
    const notes = failed?.evidence.notes ?? {};
    expect(String(notes['command'] ?? notes['asked'])).toMatch(/ at \d/);
  });
});

describe('what was sent', { timeout: 60_000 }, () => {
  const faults: Fault[] = [{ fault: 'blackouts', size: 1 }];

  it('is kept with the condition, and the same judged again from it', async () => {
    const spec = specOf(scenes);
    const { condition, captures } = await ran(spec, faults);
    const [pass] = condition.heard ?? [];
    expect(pass).toMatchObject({ solo: null, standardInstant: 0, isFresh: true });
    expect(pass?.heard.map(({ kind }) => kind)).toContain('supply');
    expect(pass?.heard).toContainEqual(expect.objectContaining({ kind: 'dali', frame: 'a3aa' }));
    expect(pass?.answered).toContainEqual(expect.objectContaining({ kind: 'dali', byte: 170 }));
    const stored = JSON.parse(JSON.stringify(condition)) as ConditionRecord;
    const codes = new Map([...captures].map(([id, { codes: own }]) => [id, own]));
    const again = rejudgeCondition(stored, spec, codes, { lamp, rig });
    expect(again.findings).toEqual(stored.findings);
    expect(stored.findings.some(({ verdict }) => verdict === 'fail')).toBe(true);
  });

  it('is not kept where no criterion asks for it', async () => {
    const plain = { ...specOf(onLink('console')), criteria: [] };
    const { condition } = await ran(plain, []);
    expect(condition.heard).toBeUndefined();
  });
});

function reasons({ findings, reason }: ConditionRecord): string {
  const told = findings.map(
    (one) => `${one.of}: ${one.reason} ${JSON.stringify(one.evidence.notes)}`,
  );
  return [reason, ...told].join('\n');
}
