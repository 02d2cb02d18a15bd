import { afterAll, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, verdictsOf } from './trial.ts';
import { variedLamps } from './varied-lamp.ts';

const varied = variedLamps();
/** Claims of several rates and families that cannot decide where pulses beat with the samples. */
const specs = [
  'sacn-preview',
  'dali-primaries',
  'no-visible-step',
  'retarget-without-jump',
  'channels-in-step',
  'no-flashes',
];

afterAll(closeLanes);

test.each(sampled(['25', '30', '40', '41.5'], 1))(
  'a healthy lamp with pulses of %s kHz passes, and none of the claims stays open',
  async (kilohertz) => {
    const lamp = varied('alcove-pwm', 'frequency: 64 kHz', `frequency: ${kilohertz} kHz`);
    const verdicts = await verdictsOf({ lamp, fault: null, specs });
    expect(verdicts).toEqual(Object.fromEntries(specs.map((spec) => [spec, 'pass'])));
  },
  300_000,
);
