import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { lightActs } from './light-acts.ts';
import { type LinkActs, linkActs } from './link-acts.ts';
import { powerActs } from './power-acts.ts';
import { type Act, holdOf, inTurn, oneOfActs, pauses, withPause } from './values.ts';

type Link = LinkActs['link'];

/** Things that are done in one sequence, at most: fewer than on one link, since each may leave something open. */
const longest = 12;

/** Which links take turns: how often, where the lamp has them. */
const groups: readonly (readonly [weight: number, links: readonly Link[]])[] = [
  [4, ['console', 'dali']],
  [3, ['dali', 'dmx']],
  [3, ['console', 'dmx']],
  [2, ['console', 'sacn']],
  [2, ['dali', 'sacn']],
  [2, ['dmx', 'sacn']],
  [2, ['console', 'dali', 'dmx']],
  [1, ['console', 'dali', 'sacn']],
];

/**
 * Sequences in which two or three links of a lamp speak in turn: everything that each of them can say, streams that stop and come back while
 * another link has the light, and the supply between them. None for a lamp of one link.
 */
export function mixedSequences(lamp: Lamp): readonly Arbitrary<readonly WrittenStep[]>[] {
  const own = groups.filter(([, links]) => links.every((link) => lamp.links[link]));
  if (own.length === 0) return [];
  const all = own.map(([weight, links]) => ({ weight, arbitrary: inTurns(lamp, links) }));
  return [fc.oneof(...all)];
}

function inTurns(lamp: Lamp, links: readonly Link[]): Arbitrary<readonly WrittenStep[]> {
  const said = linkActs(lamp).filter(({ link }) => links.includes(link));
  const streams = links.filter(isStream);
  const part = fc.tuple(
    oneOfActs([
      ...said.map(({ acts }) => [6, acts] as const),
      // What it is about: light that one link after another sets.
      ...links.map((link) => [4, lightActs(link, lamp)] as const),
      ...streams.map((link) => [3, comesAndGoes(link)] as const),
      [2, powerActs(lamp)],
    ]),
    pauses,
  );
  return fc
    .array(part, { minLength: 2, maxLength: longest, size: 'max' })
    .map((parts) => parts.flatMap(([act, pause]) => withPause(act, pause)));
}

function isStream(link: Link): boolean {
  return link === 'dmx' || link === 'sacn';
}

/** A stream that stops, for less or more than a lamp takes for a loss, or goes on. */
function comesAndGoes(link: Link): Arbitrary<Act> {
  const carry = (on: boolean): Arbitrary<WrittenStep> => fc.constant({ carry: { link, on } });
  return oneOfActs([
    [2, carry(false)],
    [2, carry(true)],
    [2, inTurn(carry(false), holdOf('200 ms', '900 ms', '1.6 s', '3 s'), carry(true))],
  ]);
}
