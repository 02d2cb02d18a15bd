/** In place of `signal/memoise.ts`: the same, but each change of the code starts without what was computed before it. */
import * as original from '../../harness/measure/signal/memoise.ts';
import { theSwitch } from './switch.ts';

export const memoise = forgetful(original.memoise);
export const memoiseSamples = forgetful(original.memoiseSamples);

type Of<Args extends unknown[], T> = (...args: Args) => T;

function forgetful<Compute extends Of<never[], unknown>>(
  remember: (compute: Compute) => Compute,
): (compute: Compute) => Compute {
  return (compute) => {
    let remembering = remember(compute);
    let turn = theSwitch().turn;
    return ((...args) => {
      if (theSwitch().turn !== turn) {
        turn = theSwitch().turn;
        remembering = remember(compute);
      }
      return remembering(...args);
    }) as Compute;
  };
}
