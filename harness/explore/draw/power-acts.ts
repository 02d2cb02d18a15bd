import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, holdOf, inTurn, oneOfActs } from './values.ts';

/** Power off and on, voltages within the lamp's limits, and restarts of its firmware. */
export function powerActs({ supply }: Lamp): Arbitrary<Act> {
  const output = (on: boolean): Arbitrary<WrittenStep> =>
    fc.constant({ supply: { output: on ? 'on' : 'off' } });
  const volts = fc.constantFrom(supply.low, supply.nominal, supply.high).map((own) => ({
    supply: { volts: `${own} V` },
  }));
  const restart: Arbitrary<WrittenStep> = fc.constant({ reset: 'now' });
  return oneOfActs([
    [2, output(true)],
    [2, output(false)],
    [
      2,
      inTurn(output(false), holdOf('20 ms', '300 ms', '1 s', '3 s'), output(true), holdOf('1 s')),
    ],
    [2, volts],
    [2, restart],
    [2, inTurn(restart, holdOf('5 ms', '100 ms', '1 s'))],
  ]);
}
