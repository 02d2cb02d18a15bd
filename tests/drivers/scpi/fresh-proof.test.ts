import { describe, expect, it } from 'vitest';
import { FreshProof, nextNonce } from '../../../drivers/scpi/fresh-proof.ts';
import type { Proof } from '../../../drivers/scpi/profile-schema.ts';
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
  fresh: Proof | undefined,
  answers: string[],
  complete: readonly boolean[] = [],
): Promise<void> {
  const talk = talkOf(answers);
  const proof = new FreshProof(session, fresh ? [fresh] : [], { samples: 0 });
  await proof.begin(talk);
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

describe('something that is set for one record alone', () => {
  const offset = {
    nonce: [0, 0.01, 0.02, 0.03, 0.04, 0.05, 0.06, 0.07],
    shown: { field: 'offset' as const },
    times: -1,
  };
  const words = (shown: number) => ({
    input: 'light',
    token: '7',
    stated: new Map([['offset', shown]]),
  });

  it('is shown by the record, or the record is another one', async () => {
    const proof = new FreshProof(session, [offset], { figure: 0.03, samples: 0 });
    expect(proof.kind).toBe('nonce');
    await expect(proof.showsNonce(words(-0.0302), talkOf([]))).resolves.toBeUndefined();
    for (const shown of [-0.04, 0.03, 0])
      await expect(proof.showsNonce(words(shown), talkOf([]))).rejects.toMatchObject({
        kind: 'stale',
      });
  });

  it('may be asked for', async () => {
    const asked = { ...offset, shown: { query: 'WAV:LAB? {input}' }, times: 1 };
    const proof = new FreshProof(session, [asked], { figure: 0.07, samples: 0 });
    await expect(proof.showsNonce(words(0), talkOf(['0.07']))).resolves.toBeUndefined();
    await expect(proof.showsNonce(words(0), talkOf(['0.06']))).rejects.toThrow(/WAV:LAB\? 7/);
  });

  it('is never the same twice in a row, and fits into the memory', () => {
    let before = nextNonce([offset, { nonce: 'samples', most: 63 }], { samples: 0 }, 1e6);
    const figures = new Set<number>();
    for (let turn = 0; turn < 200; turn++) {
      const next = nextNonce([offset, { nonce: 'samples', most: 63 }], before, 1e6);
      expect(next.figure).not.toBe(before.figure);
      expect(next.samples).not.toBe(before.samples);
      expect(next.samples).toBeLessThanOrEqual(63);
      figures.add(next.figure ?? Number.NaN);
      before = next;
    }
    expect(figures.size).toBe(8);
    expect(nextNonce([{ nonce: 'samples', most: 63 }], { samples: 5 }, 0)).toEqual({ samples: 0 });
  });
});
