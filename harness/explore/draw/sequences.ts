import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { consoleActs } from './console-acts.ts';
import { daliActs } from './dali-acts.ts';
import { lightActs } from './light-acts.ts';
import { powerActs } from './power-acts.ts';
import { slotActs } from './slot-acts.ts';
import { oneOfSteps, pauses } from './values.ts';

/** Most things that are done in one sequence: more of them find little that fewer do not, and take longer. */
const longest = 16;

/**
 * Sequences of steps over one link of a lamp at a time, weighted to what breaks firmware. Where several links speak in turn, too much of what
 * a lamp does is its own for a model to hold it.
 */
export function sequences(lamp: Lamp): Arbitrary<readonly WrittenStep[]> {
  const { console, dali, dmx, sacn } = lamp.links;
  const link = (steps: Arbitrary<WrittenStep>, name: string): Arbitrary<WrittenStep> =>
    oneOfSteps([
      [3, steps],
      [2, lightActs(name, lamp)],
    ]);
  // Mixes go over DALI as colours, which a model can hardly hold to the course of a fade.
  const byLink = [
    ...(console ? [link(consoleActs(lamp, console), 'console')] : []),
    ...(dali ? [daliActs(lamp)] : []),
    ...(dmx ? [link(slotActs('dmx', lamp, dmx), 'dmx')] : []),
    ...(sacn ? [link(slotActs('sacn', lamp, sacn), 'sacn')] : []),
  ];
  const power = powerActs(lamp);
  const of = (acts: Arbitrary<WrittenStep>): Arbitrary<readonly WrittenStep[]> =>
    fc
      .array(
        fc.tuple(
          oneOfSteps([
            [12, acts],
            [1, power],
          ]),
          pauses,
        ),
        {
          minLength: 1,
          maxLength: longest,
          size: 'max',
        },
      )
      .map((parts) => parts.flatMap(([step, pause]) => withPause(step, pause)));
  return fc.oneof(...byLink.map((acts) => of(acts)));
}

function withPause(step: WrittenStep, pause: string | null): readonly WrittenStep[] {
  return pause === null ? [step] : [step, { hold: pause }];
}
