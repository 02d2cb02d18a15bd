import { describe, expect, it } from 'vitest';
import { LampFailure, type LampFailureManner } from '../../../harness/bench/errors.ts';
import type { Expectation } from '../../../harness/plan/expectation.ts';
import type { Answer } from '../../../harness/run/condition/stimulus.ts';
import { answerFindings, lampFailureFinding } from '../../../harness/run/judge/direct-findings.ts';

function answered(expected: Expectation, reply: Answer['reply']) {
  return answerFindings(
    [{ at: 1, link: 'dali', sent: 'query status', expected, reply }],
    'guarded',
  )[0];
}

describe('an answer of the lamp', () => {
  it('is a finding against the spec itself, by the rule of the run', () => {
    expect(answered({ byte: 7 }, { byte: 7 })).toEqual({
      metric: 'reply',
      title: 'Answer of the lamp',
      of: 'lamp',
      unit: '1',
      shown: '1',
      source: 'the spec itself',
      during: null,
      uncertainty: null,
      limits: { lower: 1, upper: null, target: 1, text: 'answer to query status: 0x07' },
      rule: 'guarded',
      captures: [],
      evidence: { charts: [], notes: {} },
      outcome: { measured: true, value: 1 },
      verdict: 'pass',
      reason: null,
    });
  });

  it.each([
    [{ byte: 7 }, { byte: 8 }, 'was to be answered with 0x07, found “0x08”'],
    [{ byte: 7 }, { text: '7' }, 'was to be answered with 0x07, found “7”'],
    [{ byte: 7 }, null, 'was to be answered with 0x07, found silence'],
    [{ text: 'ok' }, { text: 'no' }, 'was to be answered with “ok”, found “no”'],
    [{ text: 'ok' }, { byte: 0 }, 'was to be answered with “ok”, found “0x00”'],
    [{ text: 'ok' }, null, 'was to be answered with “ok”, found silence'],
    [{ silence: true }, { text: '' }, 'was to be answered with silence, found “”'],
    [{ silence: true }, { byte: 255 }, 'was to be answered with silence, found “0xff”'],
  ] as const)('that is not what the spec expects fails and says both (%o, %o)', (...row) => {
    const [expected, reply, reason] = row;
    expect(answered(expected, reply)).toMatchObject({
      outcome: { measured: true, value: 0 },
      verdict: 'fail',
      reason: `query status ${reason}`,
    });
  });

  it.each([
    [{ text: 'ok' }, { text: ' ok\r\n' }],
    [{ text: ' ok ' }, { text: 'ok' }],
    [{ silence: true }, null],
    [{ byte: 0 }, { byte: 0 }],
  ] as const)('that is what the spec expects passes, white space aside (%o, %o)', (...row) => {
    const [expected, reply] = row;
    expect(answered(expected, reply)).toMatchObject({ verdict: 'pass', reason: null });
  });

  it('is judged for each command in order', () => {
    const all = [1, 2].map((byte) => ({
      ...{ at: byte, link: 'dali', sent: `query ${byte}`, expected: { byte: 1 }, reply: { byte } },
    }));
    expect(answerFindings(all, 'simple').map(({ verdict }) => verdict)).toEqual(['pass', 'fail']);
  });
});

describe('a failure of the lamp', () => {
  const manners: readonly (readonly [LampFailureManner, string, string, string])[] = [
    [
      'stopped',
      'Firmware keeps running',
      'runs to the end of the condition',
      'The firmware broke down',
    ],
    [
      'refused',
      'Valid commands are accepted',
      'accepts what its lamp file allows',
      'The lamp refused a valid command',
    ],
    [
      'silent',
      'Firmware keeps answering',
      'answers to the end of the condition',
      'The lamp fell silent for good',
    ],
  ];

  it.each(manners)('that has %s is a finding with its instant', (manner, title, text, begins) => {
    const finding = lampFailureFinding(new LampFailure('it trapped', 1.25, { manner }));
    expect(finding).toEqual({
      metric: 'firmware-runs',
      title,
      of: 'lamp',
      unit: '1',
      shown: '1',
      source: 'the spec itself',
      during: null,
      uncertainty: null,
      limits: { lower: 1, upper: null, target: 1, text },
      rule: 'simple',
      captures: [],
      evidence: { charts: [], notes: {} },
      outcome: { measured: true, value: 0 },
      verdict: 'fail',
      reason: `${begins} at 1.250 s: it trapped`,
    });
  });

  it('says no instant where none is known', () => {
    expect(lampFailureFinding(new LampFailure('it trapped')).reason).toBe(
      'The firmware broke down: it trapped',
    );
    expect(lampFailureFinding(new LampFailure('it trapped', 0)).reason).toBe(
      'The firmware broke down at 0.000 s: it trapped',
    );
  });
});
