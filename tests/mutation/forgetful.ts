/** In place of `signal/memoise.ts` and `signal/lru-cache.ts`: the same, but each change of the code starts without what was computed before it. */
import { lruCache as originalCache } from '../../harness/measure/signal/lru-cache.ts';
import * as original from '../../harness/measure/signal/memoise.ts';
import { theSwitch } from './switch.ts';

export const memoise = forgetful(original.memoise);
export const memoiseSamples = forgetful(original.memoiseSamples);

export function lruCache<Args extends readonly unknown[], T>(
  capacity: number,
  compute: (...args: Args) => T,
): (...args: Args) => T {
  return forgetful((own: (...args: Args) => T) => originalCache(capacity, own))(compute);
}

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
