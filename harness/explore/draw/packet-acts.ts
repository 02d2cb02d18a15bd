import fc, { type Arbitrary } from 'fast-check';
import type { Lamp, LampLinks } from '../../bench/lamp.ts';
import { sacnFieldNames } from '../../bench/sacn-fields.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { wholeSlots } from './slot-acts.ts';
import { type Act, byte, holdOf, inTurn, mostly, oneOfActs } from './values.ts';

/** The priority of a stream that names none (ANSI E1.31-2018 6.2.3). */
const usual = 100;

/** Packets of several sources of sACN: their priorities and numbers, ends of streams, synchronisation and its loss, lists of universes. */
export function packetActs(lamp: Lamp, link: NonNullable<LampLinks['sacn']>): Arbitrary<Act> {
  const slots = wholeSlots(lamp, link);
  const data = (options: Arbitrary<object>): Arbitrary<WrittenStep> =>
    fc.tuple(slots, options).map(([sacn, more]) => ({ send: { sacn, ...more } }));
  const short = holdOf('5 ms', '100 ms', '700 ms', '1.2 s');
  const priority = mostly([0, 1, usual - 1, usual, usual + 1, 150, 200], fc.nat(200));
  const numbered = fc.record({ sequence: byte });
  return oneOfActs([
    [4, data(fc.constant({}))],
    [3, data(fc.record({ priority }))],
    [2, data(fc.constant({ preview: true }))],
    // Preview of a source that the lamp knows, and of one that it does not.
    [1, data(fc.record({ priority, preview: fc.constant(true) }))],
    [2, inTurn(data(numbered), short, data(numbered))],
    [4, numbersApart(data)],
    [
      2,
      inTurn(data(fc.record({ priority })), short, data(fc.record({ preview: fc.constant(true) }))),
    ],
    [2, data(fc.record({ terminated: fc.constant(true) }))],
    [2, data(fc.record({ priority, terminated: fc.constant(true) }))],
    [2, inTurn(data(fc.record({ priority })), short, data(fc.record({ priority })))],
    [5, synchronised(data)],
    [5, sourcesInTurn(data)],
    [2, astray(data)],
    [2, universes(link)],
  ]);
}

/** Packets of one source whose numbers lie so far apart, about where one is not taken any more, and about the wrap (ANSI E1.31-2018 6.7.2). */
function numbersApart(
  data: (options: Arbitrary<object>) => Arbitrary<WrittenStep>,
): Arbitrary<Act> {
  const far = fc.constantFrom(0, 0, -1, -5, -19, -20, -21, 1, 2, 100, 127, 128);
  return fc.tuple(byte, far, fc.boolean()).chain(([sequence, by, guest]) => {
    const source = guest ? { source: 'guest', priority: 150 } : {};
    const numbered = (own: number) => data(fc.constant({ ...source, sequence: own & 0xff }));
    return inTurn(
      numbered(sequence),
      holdOf('20 ms', '100 ms'),
      numbered(sequence + by),
      holdOf('100 ms', '400 ms'),
    );
  });
}

/**
 * Sources that go by their names, so that each of them may change its priority: they lead in turn, end, or fall silent for less or more than a
 * loss takes (ANSI E1.31-2018 6.2.3, 6.7.1).
 */
function sourcesInTurn(
  data: (options: Arbitrary<object>) => Arbitrary<WrittenStep>,
): Arbitrary<Act> {
  const source = fc.constantFrom('guest', 'second', 'third');
  const priority = fc.constantFrom(50, usual, 150, 200);
  const end = mostly([false], fc.constant(true)).map((ends) => (ends ? { terminated: true } : {}));
  const packet = fc
    .tuple(source, priority, end)
    .chain(([by, own, more]) => data(fc.constant({ source: by, priority: own, ...more })));
  const pause = holdOf('5 ms', '100 ms', '700 ms');
  const silence = holdOf('100 ms', '1.4 s', '2.7 s');
  return fc
    .array(inTurn(packet, pause), { minLength: 2, maxLength: 5 })
    .chain((said) => silence.map((last) => [...said.flat(), last]));
}

/** Packets that are not for the lamp, or not of the kind that they seem, of a source that would have the light (ANSI E1.31-2018 5 to 7). */
function astray(data: (options: Arbitrary<object>) => Arbitrary<WrittenStep>): Arbitrary<Act> {
  const value = mostly([0, 1, 2, 3, 4, 5, 8, 17], fc.nat(255));
  const field = fc
    .tuple(fc.constantFrom(...sacnFieldNames), value)
    .map(([name, own]) => ({ fields: { [name]: own } }));
  const length = fc.integer({ min: 1, max: 200 }).map((own) => ({ length: own }));
  const how = fc.oneof(
    { weight: 3, arbitrary: field },
    { weight: 1, arbitrary: fc.constant({ universe: 'other' }) },
    { weight: 1, arbitrary: length },
  );
  const wrong = how.chain((own) => data(fc.constant({ source: 'guest', priority: 150, ...own })));
  return inTurn(data(fc.constant({})), holdOf('100 ms'), wrong, holdOf('100 ms', '400 ms'));
}

/** Levels that wait for the packet of an address, which comes, or comes for another, or no more. */
function synchronised(
  data: (options: Arbitrary<object>) => Arbitrary<WrittenStep>,
): Arbitrary<Act> {
  const addresses = fc.constantFrom(7, 700, 63_999);
  const wait = holdOf('5 ms', '100 ms', '700 ms', '2.4 s', '3 s');
  const options = fc.record({
    address: addresses,
    other: addresses,
    priority: fc.constantFrom(usual, 150),
    force: fc.boolean(),
  });
  return options.chain(({ address, other, priority, force }) => {
    const sync = (of: number): Arbitrary<WrittenStep> =>
      fc.constant({ send: { sacn: 'sync', 'sync-address': of, priority } });
    const waiting = data(
      fc.constant({ 'sync-address': address, priority, ...(force && { 'force-sync': true }) }),
    );
    // Who has named no address need not hear who synchronises it: what follows is open then.
    const awaited = inTurn(waiting, sync(address), holdOf('100 ms'));
    const lost = holdOf('2.9 s', '3.2 s');
    return oneOfActs([
      [2, inTurn(sync(address), wait, waiting, wait, sync(address))],
      [2, inTurn(data(fc.constant({ priority })), sync(address), waiting, wait, sync(other))],
      [2, inTurn(sync(address), waiting, lost, waiting, wait)],
      [2, inTurn(awaited, waiting, wait, sync(other), wait)],
      [2, inTurn(awaited, lost, waiting, wait)],
      [1, waiting],
      [1, sync(address)],
    ]);
  });
}

/** Lists of universes, that of the lamp among them or not. They are no levels. */
function universes({ universe }: { readonly universe: number }): Arbitrary<WrittenStep> {
  const count = fc.constantFrom(1, 16, 64, 512);
  return fc.tuple(count, fc.boolean()).map(([length, own]) => {
    const listed = Array.from({ length }, (_, index) => (own ? universe : 257) + index);
    return { send: { sacn: 'discovery', universes: listed } };
  });
}
