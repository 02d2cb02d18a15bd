import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { oneOfSteps } from './values.ts';

/** Power off and on, voltages within the lamp's limits. What a restart without a loss of power brings back is the lamp's own. */
export function powerActs({ supply }: Lamp): Arbitrary<WrittenStep> {
  const outputs = fc.constantFrom('on', 'off').map((output) => ({ supply: { output } }));
  const volts = fc.constantFrom(supply.low, supply.nominal, supply.high).map((own) => ({
    supply: { volts: `${own} V` },
  }));
  return oneOfSteps([
    [4, outputs],
    [2, volts],
  ]);
}
