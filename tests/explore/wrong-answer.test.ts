import { describe, expect, it } from 'vitest';
import type { Heard } from '../../harness/bench/heard.ts';
import { firstWrongAnswer, type SaidByte } from '../../harness/explore/wrong-answer.ts';

const questions: readonly Heard[] = [
  { kind: 'dali', at: 1, frame: [0x0b, 0xa0] },
  { kind: 'dali', at: 1.1, frame: [0x0b, 0xa1] },
  { kind: 'console', at: 2, line: 'who' },
];
const dali = (at: number, byte: number): SaidByte => ({ link: 'dali', at, byte });
const line = (at: number, text: string): SaidByte[] =>
  [...text].map((letter) => ({ link: 'console', at, byte: letter.charCodeAt(0) }));

describe('answers held against the model', () => {
  const expected = [
    { of: 0, link: 'dali' as const, oneOf: [{ byte: 254 }] },
    { of: 1, link: 'dali' as const, oneOf: ['silence' as const, { byte: 7 }] },
    { of: 2, link: 'console' as const, oneOf: [{ line: 'ok' }] },
  ];

  it('are sound where each is one of the allowed', () => {
    const said = [dali(1.02, 254), ...line(2.01, 'ok\r\n')];
    expect(firstWrongAnswer(expected, questions, said)).toBeNull();
    expect(
      firstWrongAnswer(expected, questions, [
        dali(1.02, 254),
        dali(1.12, 7),
        ...line(2.01, 'ok\n'),
      ]),
    ).toBeNull();
  });

  it('are wrong where another byte comes, or none, or another line', () => {
    const ok = line(2.01, 'ok\n');
    expect(firstWrongAnswer(expected, questions, [dali(1.02, 253), ...ok])).toMatchObject({
      of: 0,
      found: '253',
      allowed: '254',
    });
    expect(firstWrongAnswer(expected, questions, ok)).toMatchObject({ of: 0, found: 'nothing' });
    expect(
      firstWrongAnswer(expected, questions, [dali(1.02, 254), dali(1.12, 8), ...ok]),
    ).toMatchObject({
      of: 1,
      allowed: 'nothing or 7',
    });
    expect(
      firstWrongAnswer(expected, questions, [dali(1.02, 254), ...line(2.01, 'okay\n')]),
    ).toMatchObject({ of: 2, found: '“okay”' });
  });

  it('belong to the question before them, not to the next', () => {
    expect(
      firstWrongAnswer(expected, questions, [dali(1.11, 254), ...line(2.01, 'ok\n')]),
    ).toMatchObject({ of: 0 });
  });
});
