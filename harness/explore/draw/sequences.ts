import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { airActs } from './air-acts.ts';
import { linkActs } from './link-acts.ts';
import { longActs } from './long-acts.ts';
import { mixedSequences } from './mixed-sequences.ts';
import { powerActs } from './power-acts.ts';
import { restActs, waitActs } from './rest-acts.ts';
import { type Act, oneOfActs, pauses, withPause } from './values.ts';

/** Most things that are done in one sequence: more of them find little that fewer do not, and take longer. */
const longest = 16;

/** Sequences in which links take turns are so many in a hundred, where the lamp has several. */
const mixed = 25;

/**
 * Sequences of steps for a lamp, weighted to what breaks firmware. Most keep to one link: what links do to each other would cover up much of
 * what is wrong with one.
 */
export function sequences(lamp: Lamp): Arbitrary<readonly WrittenStep[]> {
  const power = powerActs(lamp);
  const air = airActs(lamp);
  const single = linkActs(lamp).map(({ link, acts }) => {
    const long = longActs(link, lamp);
    const between: Arbitrary<Act> = oneOfActs([
      [8, power],
      [2, restActs(link, lamp)],
      [1, waitActs()],
      ...(long ? ([[4, long]] as const) : []),
      ...(air ? ([[1, air]] as const) : []),
    ]);
    // Most of what a lamp has to do, and to remember, is said on DALI.
    return { weight: link === 'dali' ? 3 : 1, arbitrary: sequenceOf(acts, between) };
  });
  return fc.oneof(
    { weight: 100 - mixed, arbitrary: fc.oneof(...single) },
    ...mixedSequences(lamp).map((arbitrary) => ({ weight: mixed, arbitrary })),
  );
}

function sequenceOf(
  acts: Arbitrary<Act>,
  between: Arbitrary<Act>,
): Arbitrary<readonly WrittenStep[]> {
  const part = fc.tuple(
    oneOfActs([
      [14, acts],
      [1, between],
    ]),
    pauses,
  );
  return fc
    .array(part, { minLength: 1, maxLength: longest, size: 'max' })
    .map((parts) => parts.flatMap(([act, pause]) => withPause(act, pause)));
}
