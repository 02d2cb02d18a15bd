import { describe, expect, it } from 'vitest';
import { FreshProof } from '../../../drivers/scpi/fresh-proof.ts';
import type { DigitiserProfile } from '../../../drivers/scpi/profile-schema.ts';
import { ScpiSession, type Talk } from '../../../drivers/scpi/session.ts';

const session = new ScpiSession('scope', { identify: '*IDN?', errors: undefined, open: [] }, () =>
  Promise.reject(new Error('nobody connects')),
);

/** Answers queries one after another. */
function talkOf(answers: string[]): Talk {
  const ask = (): Promise<string> => Promise.resolve(answers.shift() ?? '');
  const none = (): Promise<never> => Promise.reject(new Error('nothing else is said'));
  return { ask, askBlock: none, tell: none, setUp: none, signal: new AbortController().signal };
}

async function prove(
  fresh: DigitiserProfile['fresh'],
  answers: string[],
  complete: readonly boolean[] = [],
): Promise<void> {
  const talk = talkOf(answers);
  const proof = new FreshProof(session, fresh, talk);
  await proof.begin();
  for (const one of complete) proof.saw({ complete: one });
  await proof.end(talk);
}

const counter = { counter: 'ACQ:COUN?', by: 1 };
const sweeps = { counter: 'ACQ:COUN?', by: 16 };
const changes = { changes: 'WAV:TIME?' };
const status = { status: 'not-complete' as const };

describe('the proof that a record is new', () => {
  it.each([
    ['a count that rose by one', counter, ['41', '42'], []],
    ['a count of the sweeps of an average', sweeps, ['32', '48'], []],
    ['another time', changes, ['12:00:00.1', '12:00:03.4'], []],
    ['a status that was not complete', status, [], [false, true]],
    ['nothing, where the profile asks for none', undefined, [], [true]],
  ])('is %s', async (_, fresh, answers, complete) => {
    await expect(prove(fresh, answers, complete)).resolves.toBeUndefined();
  });

  it.each([
    ['a count that stands still', counter, ['41', '41'], []],
    ['a count that somebody else drives too', counter, ['41', '43'], []],
    ['the same time', changes, ['12:00:00.1', '12:00:00.1'], []],
    ['no time', changes, ['12:00:00.1', '9.91E37'], []],
    ['a status that was complete all the time', status, [], [true, true]],
  ])('is not %s', async (_, fresh, answers, complete) => {
    await expect(prove(fresh, answers, complete)).rejects.toMatchObject({ kind: 'stale' });
  });

  it('is no count that is none', async () => {
    await expect(prove(counter, ['41', 'many'])).rejects.toMatchObject({ kind: 'garbled' });
  });
});
