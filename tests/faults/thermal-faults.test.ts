import { afterAll, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, nominal, smallest, verdictsOf } from './trial.ts';

const patience = 120_000;

afterAll(closeLanes);

const faults = [
  ['derating-chatters', 'warming-is-smooth'],
  ['derating-in-steps', 'warming-is-smooth'],
  ['derating-latches', 'recovers-after-heat'],
] as const;

test.each(sampled(faults, 1))(
  '%s is caught by %s at its nominal size, and not where it is barely there',
  async (fault, spec) => {
    expect(await verdictsOf({ fault: nominal(fault), specs: [spec] })).toEqual({ [spec]: 'fail' });
    expect(await verdictsOf({ fault: smallest(fault), specs: [spec] })).toEqual({ [spec]: 'pass' });
  },
  patience,
);

test.each(sampled(['alcove-1', 'alcove-9', 'alcove-pwm'], 1))(
  'a healthy %s breaks neither',
  async (lamp) => {
    const specs = ['warming-is-smooth', 'recovers-after-heat'];
    const verdicts = await verdictsOf({ lamp, fault: null, specs });
    expect(verdicts).toEqual(Object.fromEntries(specs.map((spec) => [spec, 'pass'])));
  },
  patience,
);
