import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { type Act, holdOf, inTurn, oneOfActs } from './values.ts';

/** Counters of firmware wrap after so long, s: milliseconds in 16 bits, microseconds and milliseconds in 32. */
const wraps = [2 ** 16 / 1e3, 2 ** 32 / 1e6, 2 ** 32 / 1e3] as const;
/** Times of people, s: ten minutes, a day. */
const ofPeople = [600, 86_400] as const;

/**
 * Hours and days in which nothing happens, up to just before a counter wraps. Streams end before them, and mostly the light is one that
 * firmware need not dither: each frame and each step would have to be simulated.
 */
export function restActs(link: string, { links }: Lamp): Arbitrary<Act> {
  const silence = (['dmx', 'sacn'] as const)
    .filter((stream) => links[stream])
    .map((stream): WrittenStep => ({ carry: { link: stream, on: false } }));
  const shortly = fc.constantFrom(0, 0.2, 0.8, 2, 4);
  const time = fc
    .tuple(fc.constantFrom(...wraps, ...ofPeople), shortly)
    .map(([wrap, before]): WrittenStep => ({ hold: `${(wrap - before).toFixed(3)} s` }));
  const steady = fc
    .constantFrom('100 %', '0 %')
    .map((level): WrittenStep => ({ set: { level, link } }));
  return oneOfActs([
    [3, inTurn(steady, fc.constant(silence), holdOf('3 s'), time)],
    [1, inTurn(fc.constant(silence), holdOf('3 s'), time)],
  ]);
}

/** A minute or more, with streams that go on: what comes every few minutes, or late, is met. */
export function waitActs(): Arbitrary<Act> {
  return inTurn(holdOf('20 s', '66 s', '250 s'));
}
