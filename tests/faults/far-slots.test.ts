import { afterAll, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, nominal, verdictsOf } from './trial.ts';
import { variedLamps } from './varied-lamp.ts';

const varied = variedLamps();
/** A lamp at the end of the universe, where no frame of a few slots reaches it. */
const far = varied('alcove-6', /first-slot: 1,/g, 'first-slot: 480,');

const claims = {
  'preview-accepted': 'sacn-preview',
  'priority-ignored': 'sacn-priority',
  'sequence-ignored': 'sacn-sequence',
  'terminated-ignored': 'sacn-terminated',
  'wrong-start-code': 'other-start-codes',
  'sync-not-awaited': 'sacn-sync',
  'lost-sync-freezes': 'sacn-sync-lost',
  'start-address-not-moved': 'rdm-start-address',
  'break-too-strict': 'dmx-break-limits',
  'dark-after-return': 'signal-returns',
  'fine-slot-late': 'slot-bytes',
  'frames-skipped': 'slots-fade',
  'root-vector-ignored': 'sacn-wrong-head',
  'sequence-never-wraps': 'sacn-sequence-wraps',
};
const patience = 120_000;

afterAll(closeLanes);

for (const [fault, spec] of sampled(Object.entries(claims), 4))
  test(
    `${spec} catches ${fault} on a lamp whose slots begin at 480`,
    async () => {
      const caught = await verdictsOf({ lamp: far, fault: nominal(fault), specs: [spec] });
      expect(caught).toEqual({ [spec]: 'fail' });
    },
    patience,
  );

test(
  'and a healthy lamp there breaks none of them',
  async () => {
    const specs = Object.values(claims);
    const verdicts = await verdictsOf({ lamp: far, fault: null, specs });
    expect(verdicts).toEqual(Object.fromEntries(specs.map((spec) => [spec, 'pass'])));
  },
  patience,
);
