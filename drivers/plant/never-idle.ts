import { BenchError } from '../../harness/bench/errors.ts';
import { formatQuantity } from '../../harness/units/format-quantity.ts';

/** A wait of `seconds` that firmware which is never idle makes too long to be simulated. */
export function neverIdle(seconds: number): BenchError {
  const time = formatQuantity(seconds, 'time', 'd');
  const message = `the firmware has something to do at every tick, so that a wait of ${time} would take hours; return true from lamp_tick() where nothing will change, and such a wait is skipped`;
  return new BenchError('cancelled', 'lamp', message);
}
