import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { type Act, holdOf, inTurn } from './values.ts';

/** °C: air that no lamp minds. */
const mild = 25;

/** Air that goes to the ends of what the lamp is rated for, and back; null for a lamp whose file rates none. */
export function airActs({ ambient }: Lamp): Arbitrary<Act> | null {
  if (!ambient) return null;
  const air = (temperatures: readonly number[]) =>
    fc
      .record({
        celsius: fc.constantFrom(...temperatures),
        over: fc.constantFrom('1 s', '1 min'),
      })
      .map(({ celsius, over }) => ({
        ambient: { temperature: `${celsius} °C`, over },
      }));
  const ends = [ambient.lowest, ambient.highest];
  return inTurn(air(ends), holdOf('100 ms', '10 min'), air([mild, ...ends]));
}
