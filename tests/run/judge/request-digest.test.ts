import { createHash } from 'node:crypto';
import { describe, expect, it } from 'vitest';
import type { Condition } from '../../../harness/plan/plan.ts';
import { requestDigest } from '../../../harness/run/judge/request-digest.ts';

const condition: Condition = {
  key: '',
  values: {},
  stimulus: [
    { verb: 'set', level: 1, mix: { warm: 1, cool: 0.5 } },
    { verb: 'hold', seconds: 1 },
  ] as unknown as Condition['stimulus'],
  captures: [{ signal: 'light', of: 'light', rate: 1000 }],
  criteria: [],
};

const sha256 = (text: string) => createHash('sha256').update(text).digest('hex');

describe('the digest of a request', () => {
  it('is sha256 of its JSON with the keys in order', () => {
    expect(requestDigest(condition)).toEqual({
      stimulus: sha256(
        '[{"level":1,"mix":{"cool":0.5,"warm":1},"verb":"set"},{"seconds":1,"verb":"hold"}]',
      ),
      captures: sha256('[{"of":"light","rate":1000,"signal":"light"}]'),
    });
  });

  it('does not depend on the order of keys, and does on that of steps', () => {
    const [first, second] = condition.stimulus;
    const turned = Object.fromEntries(Object.entries(first ?? {}).reverse());
    const digestOf = (stimulus: readonly unknown[]) =>
      requestDigest({ ...condition, stimulus: stimulus as Condition['stimulus'] }).stimulus;
    expect(digestOf([turned, second])).toBe(digestOf([first, second]));
    expect(digestOf([second, first])).not.toBe(digestOf([first, second]));
    expect(digestOf([{ ...first, of: null }, second])).not.toBe(digestOf([first, second]));
  });

  it('holds the air that was asked for, and is what it was before where none is', () => {
    const warm = requestDigest({ ...condition, ambient: { celsius: 40 } });
    expect(warm.stimulus).not.toBe(requestDigest(condition).stimulus);
    expect(warm.captures).toBe(requestDigest(condition).captures);
    expect(requestDigest({ ...condition, ambient: { celsius: 25 } }).stimulus).not.toBe(
      warm.stimulus,
    );
  });
});
