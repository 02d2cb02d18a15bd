import { afterAll, describe, expect, test } from 'vitest';
import { sampled } from '../sampled.ts';
import { closeLanes, firstNamed, nominal, smallest, verdictsOf } from './trial.ts';

/** Two dozen faults of all families, each with a claim that is quick to prove, and the lamp that can have it. */
const tried: readonly (readonly [fault: string, lamp: string])[] = [
  ['fade-cut-short', 'alcove-6'],
  ['retarget-jump', 'alcove-6'],
  ['channels-out-of-step', 'alcove-6'],
  ['command-latency', 'alcove-6'],
  ['send-twice-late', 'alcove-6'],
  ['turn-on-overshoot', 'alcove-pwm'],
  ['leakage', 'alcove-6'],
  ['low-current', 'alcove-6'],
  ['weak-channel', 'alcove-6'],
  ['shorted-leds', 'alcove-6'],
  ['oscillator-off', 'alcove-9'],
  ['poor-regulation', 'alcove-6'],
  ['poor-power-factor', 'alcove-1'],
  ['harmonic-current', 'alcove-1'],
  ['blackouts', 'alcove-6'],
  ['flashes', 'alcove-9'],
  ['power-on-flash', 'alcove-6'],
  ['power-off-flash', 'alcove-1'],
  ['afterglow', 'alcove-pwm'],
  ['channels-part-midway', 'alcove-6'],
  ['fade-undershoot', 'alcove-6'],
  ['slow-settling', 'alcove-pwm'],
  ['no-inrush-limit', 'alcove-6'],
  ['standby-draw', 'alcove-6'],
];

/** Seconds of an idle machine, much more of a busy one. */
const patience = 300_000;

afterAll(closeLanes);

describe('the claim that a fault names first', () => {
  for (const [fault, lamp] of sampled(tried, 6)) {
    const spec = firstNamed(fault);
    test(
      `${spec} catches ${fault} at its nominal size, and not where it is barely there`,
      async () => {
        const caught = await verdictsOf({ lamp, fault: nominal(fault), specs: [spec] });
        expect(caught).toEqual({ [spec]: 'fail' });
        const barely = await verdictsOf({ lamp, fault: smallest(fault), specs: [spec] });
        expect(barely).toEqual({ [spec]: 'pass' });
      },
      patience,
    );
  }
});
