import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { colourActs } from './colour-acts.ts';
import { consoleActs } from './console-acts.ts';
import { daliActs } from './dali-acts.ts';
import { lightActs } from './light-acts.ts';
import { longActs } from './long-acts.ts';
import { packetActs } from './packet-acts.ts';
import { powerActs } from './power-acts.ts';
import { restActs, waitActs } from './rest-acts.ts';
import { slotActs } from './slot-acts.ts';
import { type Act, oneOfActs, pauses } from './values.ts';

/** Most things that are done in one sequence: more of them find little that fewer do not, and take longer. */
const longest = 16;

/**
 * Sequences of steps over one link of a lamp at a time, weighted to what breaks firmware. Where several links speak in turn, too much of what
 * a lamp does is its own for a model to hold it.
 */
export function sequences(lamp: Lamp): Arbitrary<readonly WrittenStep[]> {
  const power = powerActs(lamp);
  const all = linkActs(lamp).map(({ link, acts }) => {
    const long = longActs(link, lamp);
    const between: Arbitrary<Act> = oneOfActs([
      [8, power],
      [2, restActs(link, lamp)],
      [1, waitActs()],
      ...(long ? ([[2, long]] as const) : []),
    ]);
    // Most of what a lamp has to do, and to remember, is said on DALI.
    return { weight: link === 'dali' ? 3 : 1, arbitrary: sequenceOf(acts, between) };
  });
  return fc.oneof(...all);
}

interface LinkActs {
  readonly link: string;
  readonly acts: Arbitrary<Act>;
}

/** What is said on each link of the lamp. */
function linkActs(lamp: Lamp): readonly LinkActs[] {
  const { console, dali, dmx, sacn } = lamp.links;
  const withLight = (link: string, acts: Arbitrary<Act>): LinkActs => ({
    link,
    acts: oneOfActs([
      [3, acts],
      [2, lightActs(link, lamp)],
    ]),
  });
  const onDali = (): Arbitrary<Act> =>
    oneOfActs([
      [6, daliActs(lamp)],
      [2, colourActs(lamp)],
      [1, lightActs('dali', lamp)],
    ]);
  return [
    ...(console ? [withLight('console', consoleActs(lamp, console))] : []),
    ...(dali ? [{ link: 'dali', acts: onDali() }] : []),
    ...(dmx ? [withLight('dmx', slotActs('dmx', lamp, dmx))] : []),
    ...(sacn
      ? [
          withLight('sacn', slotActs('sacn', lamp, sacn)),
          { link: 'sacn', acts: packetActs(lamp, sacn) },
        ]
      : []),
  ];
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

function withPause(act: Act, pause: string | null): Act {
  return pause === null ? act : [...act, { hold: pause }];
}
