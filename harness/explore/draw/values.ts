import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { builtInMixes } from '../../plan/mix.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';

/** Something that is done: a step, or a few that belong together. */
export type Act = readonly WrittenStep[];

/** One of several kinds of act, by weight. */
export function oneOfActs(
  kinds: readonly (readonly [weight: number, acts: Arbitrary<WrittenStep | Act>])[],
): Arbitrary<Act> {
  const all = kinds.map(([weight, arbitrary]) => ({ weight, arbitrary }));
  return fc.oneof(...all).map((act) => (isSteps(act) ? act : [act]));
}

function isSteps(act: WrittenStep | Act): act is Act {
  return Array.isArray(act);
}

/** Acts one behind another, as one. */
export function inTurn(...acts: readonly Arbitrary<WrittenStep | Act>[]): Arbitrary<Act> {
  return fc.tuple(...acts).map((all) => all.flatMap((act) => (isSteps(act) ? [...act] : [act])));
}

/** Time that passes, one of these. */
export function holdOf(...times: readonly string[]): Arbitrary<WrittenStep> {
  return fc.constantFrom(...times).map((hold) => ({ hold }));
}

/** Mostly one of these, where mistakes live: the ends of ranges and what lies beside them; otherwise anything. */
export function mostly<T>(edges: readonly T[], anything: Arbitrary<T>): Arbitrary<T> {
  return fc.oneof(
    { weight: 3, arbitrary: fc.constantFrom(...edges) },
    { weight: 1, arbitrary: anything },
  );
}

/** A byte, mostly at the ends of ranges. */
export const byte = mostly(
  [0, 1, 2, 15, 16, 84, 85, 126, 127, 128, 129, 169, 170, 253, 254, 255],
  fc.integer({ min: 0, max: 255 }),
);

/** Per cent with so many places as people write them. */
function perCent(value: number): string {
  return `${Number(value.toPrecision(4))} %`;
}

/** Per cent in hundredths: more places than people write find nothing more. */
export const hundredths = fc.integer({ min: 0, max: 10_000 }).map((value) => value / 100);

/** A dim level as written. */
export function levels({ curve }: Lamp): Arbitrary<string> {
  const bottom = 100 * curve.bottom;
  return mostly(
    [0, bottom, 1.01 * bottom, 1, 10, 50, 99, 100].map(perCent),
    hundredths.map(perCent),
  );
}

/** A mix as written: by name, or of some channels. */
export function mixes(lamp: Lamp): Arbitrary<string | Record<string, string>> {
  const names = [...builtInMixes, ...Object.keys(lamp.mixes)];
  const channels = lamp.channels.map(({ channel }) => channel);
  const share = mostly([0, 1, 20, 50, 100].map(perCent), hundredths.map(perCent));
  const some = fc
    .subarray(channels, { minLength: 1 })
    .chain((named) =>
      fc
        .tuple(...named.map(() => share))
        .map((shares) => Object.fromEntries(named.map((name, at) => [name, shares[at] ?? '0 %']))),
    );
  return fc.oneof(fc.constantFrom(...names), some);
}

/** How long a fade takes, as written. */
export const fadeTimes = mostly(
  ['0 ms', '1 ms', '20 ms', '200 ms', '700 ms', '1 s', '2.8 s'],
  fc.integer({ min: 1, max: 4000 }).map((ms) => `${ms} ms`),
);

/** Time from one thing to the next, as written; null for none. */
export const pauses: Arbitrary<string | null> = fc.oneof(
  { weight: 4, arbitrary: fc.constant(null) },
  {
    weight: 4,
    arbitrary: fc.constantFrom('1 ms', '5 ms', '20 ms', '50 ms', '90 ms', '110 ms', '190 ms'),
  },
  { weight: 6, arbitrary: fc.constantFrom('250 ms', '400 ms', '700 ms', '1 s', '1.5 s') },
  { weight: 1, arbitrary: fc.constantFrom('2.6 s', '3.2 s', '5 s') },
  { weight: 2, arbitrary: fc.integer({ min: 1, max: 1500 }).map((ms) => `${ms} ms`) },
);

/** Something that is done, and the time behind it. */
export function withPause(act: Act, pause: string | null): Act {
  return pause === null ? act : [...act, { hold: pause }];
}
