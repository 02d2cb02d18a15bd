import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { daliCommands } from '../../plan/links/dali-commands.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { dtr, send } from './dali-send.ts';
import { memoryActs } from './memory-acts.ts';
import { settingActs } from './setting-acts.ts';
import { type Act, byte, holdOf, inTurn, oneOfActs } from './values.ts';

/** Commands whose effect on the light the standard fixes, beside direct levels. */
const movers = [
  'off',
  'up',
  'down',
  'step-up',
  'step-down',
  'recall-max',
  'recall-min',
  'step-down-and-off',
  'on-and-step-up',
  'go-to-last-active',
] as const;
/** They take what DTR0 holds. */
const settings = [
  'set-max',
  'set-min',
  'set-system-failure-level',
  'set-power-on-level',
  'set-fade-time',
  'set-fade-rate',
  'set-extended-fade-time',
] as const;
const queries = Object.keys(daliCommands).filter(
  (name) => name.startsWith('query-') && !name.includes('random') && !name.includes('short'),
);

/** Frames for gear at this lamp's address, its group, to all, and to others. */
export function daliActs({ links }: Lamp): Arbitrary<Act> {
  const to = addressees(links.dali?.group);
  const scene = fc.constantFrom(0, 1, 7, 15);
  const named = (names: readonly string[]) =>
    fc.tuple(fc.constantFrom(...names), to).map(([name, whom]) => send(name, { to: whom }));
  const numbered = (names: readonly string[], values: Arbitrary<number>) =>
    fc
      .tuple(fc.constantFrom(...names), values, to)
      .map(([name, value, whom]) => send(name, { value, to: whom }));
  const frames = fc
    .tuple(byte, byte)
    .filter(([first]) => !/^(a5|a7|b7|c7|c9)$/.test(hex(first)))
    .map(([first, second]) => send(`${hex(first)} ${hex(second)}`));
  const level = numbered(['level'], byte);
  const pair = set(to);
  const limits = inTurn(set(to, ['set-min', 'set-max']), set(to, ['set-min', 'set-max']), level);
  return oneOfActs([
    [8, settingActs()],
    [8, level],
    [5, named(movers)],
    [2, dtr('dtr0', byte)],
    [2, named(settings)],
    [5, pair],
    [2, inTurn(pair, level)],
    [2, limits],
    [3, fadeOf(level)],
    [3, inSequence(level)],
    [3, farApart(to)],
    [2, interrupted(to)],
    [
      1,
      inTurn(
        level,
        holdOf('300 ms', '1 s'),
        fc.constant(send('store-actual-level')),
        fc.constant(send('query-dtr0')),
      ),
    ],
    [3, numbered(['go-to-scene', 'set-scene', 'remove-scene'], scene)],
    [1, numbered(['add-group', 'remove-group'], fc.constantFrom(0, 2, 15))],
    [4, named(queries.filter((name) => name !== 'query-scene'))],
    [1, numbered(['query-scene'], scene)],
    [1, named(['reset', 'store-actual-level', 'enable-dapc-sequence'])],
    [2, frames],
    [4, memoryActs(links.dali?.banks ?? [])],
    [1, fc.tuple(byte, byte, byte).map((all) => send(all.map(hex).join(' ')))],
    [1, fc.boolean().map((on): WrittenStep => ({ carry: { link: 'dali', on } }))],
  ]);
}

/** Whom a command by name is for. */
function addressees(group: number | undefined): Arbitrary<string> {
  return fc.constantFrom('lamp', 'lamp', 'broadcast', ...(group === undefined ? [] : ['group']));
}

/** A fade time of the table of IEC 62386-102 that people wait for, and a level that is faded to. */
function fadeOf(level: Arbitrary<WrittenStep>): Arbitrary<Act> {
  const code = fc.integer({ min: 1, max: 7 });
  return inTurn(
    dtr('dtr0', code),
    fc.constant(send('set-fade-time')),
    level,
    holdOf('300 ms', '1 s', '3 s', '6 s'),
  );
}

/** Levels of a DAPC sequence, each of them in time or too late, with a fade time that does not count meanwhile. */
function inSequence(level: Arbitrary<WrittenStep>): Arbitrary<Act> {
  const gap = holdOf('40 ms', '90 ms', '150 ms', '300 ms');
  return inTurn(
    dtr('dtr0', fc.constantFrom(0, 4, 6)),
    fc.constant(send('set-fade-time')),
    fc.constant(send('enable-dapc-sequence')),
    level,
    gap,
    level,
    gap,
    level,
    holdOf('300 ms', '1 s'),
  );
}

/** A setting, and in part what the gear then says that it is. */
function set(
  to: Arbitrary<string>,
  names: readonly (typeof settings)[number][] = settings,
): Arbitrary<Act> {
  return fc
    .tuple(byte, fc.constantFrom(...names), to, fc.boolean())
    .map(([value, name, whom, asks]) => [
      send('dtr0', { value }),
      send(name, { to: whom }),
      ...(asks ? [askFor(name)] : []),
    ]);
}

/** The query of a setting. The fade time and the fade rate are one answer. */
function askFor(name: (typeof settings)[number]): WrittenStep {
  const query = name.replace('set-', 'query-');
  return send(query in daliCommands ? query : 'query-fade');
}

/** A configuration command whose repetition comes late, or never. */
function farApart(to: Arbitrary<string>): Arbitrary<Act> {
  const gap = fc.integer({ min: 50, max: 450 }).map((ms) => ({ hold: `${ms} ms` }));
  return fc.tuple(fc.constantFrom(...settings), to).chain(([name, whom]) => {
    const once = fc.constant(send(name, { to: whom, twice: false }));
    return inTurn(dtr('dtr0', byte), once, gap, once, fc.constant(askFor(name)));
  });
}

/** A configuration command with another frame between the two of it: it does not count. */
function interrupted(to: Arbitrary<string>): Arbitrary<Act> {
  return fc.tuple(byte, fc.constantFrom(...settings), to).map(([value, name, whom]) => {
    const once = send(name, { to: whom, twice: false });
    return [send('dtr0', { value }), once, send('query-status'), once, askFor(name)];
  });
}

function hex(value: number): string {
  return value.toString(16).padStart(2, '0');
}
