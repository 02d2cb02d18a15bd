import fc, { type Arbitrary } from 'fast-check';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { send } from './dali-send.ts';
import { type Act, holdOf, inTurn, oneOfActs } from './values.ts';

/** One variable of a gear (IEC 62386-102, table of variables): how it is set, and what shows it. */
interface Variable {
  readonly set: Arbitrary<Act>;
  readonly shown: Arbitrary<Act>;
}

const full = 254;
const mask = 255;

/**
 * Settings of a gear, what may lose or spoil them, and then what shows them in the light: drawn one by one, the three seldom meet.
 */
export function settingActs(): Arbitrary<Act> {
  const variable = fc.oneof(
    ...[
      limits(),
      limits(),
      fadeTimes(),
      fadeTimes(),
      fadeRate(),
      powerOn(),
      failure(),
      scene(),
      group(),
    ],
  );
  const some: Arbitrary<readonly Variable[]> = fc.oneof(
    { weight: 4, arbitrary: fc.array(variable, { minLength: 1, maxLength: 2 }) },
    // What is stored beyond a limit that comes later.
    { weight: 1, arbitrary: fc.tuple(fc.oneof(scene(), lastActive()), limits()) },
  );
  return fc
    .tuple(some, lit(), between())
    .chain(([variables, start, spoils]) =>
      inTurn(
        fc.constant(start),
        ...variables.map(({ set }) => set),
        fc.constant(spoils),
        ...variables.map(({ shown }) => shown),
        fc.constant(send('query-actual-level')),
      ),
    );
}

function stored(value: number, ...commands: readonly WrittenStep[]): Act {
  return [send('dtr0', { value }), ...commands];
}

function level(value: number): WrittenStep {
  return send('level', { value });
}

/** A light that is there before, so that what is set finds one. */
function lit(): Arbitrary<Act> {
  return fc.constantFrom<Act>(
    [send('recall-max'), { hold: '100 ms' }],
    [level(150), { hold: '100 ms' }],
    [send('off'), { hold: '100 ms' }],
    [],
  );
}

/** What a setting outlives. */
function between(): Arbitrary<Act> {
  const cycle: Act = [
    { supply: { output: 'off' } },
    { hold: '1 s' },
    { supply: { output: 'on' } },
    { hold: '1500 ms' },
  ];
  // Settings may be stored some time after they were made.
  const stored: Act = [{ hold: '1 s' }, ...cycle];
  const dead: Act = [
    { carry: { link: 'dali', on: false } },
    { hold: '700 ms' },
    { carry: { link: 'dali', on: true } },
    { hold: '300 ms' },
  ];
  return oneOfActs([
    [3, fc.constant<Act>([])],
    [3, fc.constant(stored)],
    [1, fc.constant(dead)],
    [1, fc.constant<Act>([send('reset'), { hold: '400 ms' }])],
    [1, fc.constant<Act>([level(170), { hold: '60 ms' }, level(mask)])],
  ]);
}

/** What makes light of limits: levels beyond them, ways up from the dark, ways down to it. */
function limits(): Arbitrary<Variable> {
  const edges = fc.constantFrom(1, 2, 60, 128, 170, 200, 253, full);
  const set = fc
    .tuple(edges, fc.constantFrom('set-min', 'set-max'))
    .map(([value, name]) => stored(value, send(name)));
  return fc.constant({ set, shown: inTurn(ways(), ways()) });
}

function ways(): Arbitrary<Act> {
  const way = fc.constantFrom<WrittenStep>(
    level(full),
    level(1),
    level(100),
    level(0),
    ...['recall-max', 'recall-min', 'step-down', 'step-up', 'up', 'down', 'off'].map((name) =>
      send(name),
    ),
    ...['on-and-step-up', 'step-down-and-off', 'go-to-last-active'].map((name) => send(name)),
  );
  return inTurn(way, holdOf('250 ms', '700 ms', '2.2 s'));
}

/** Codes of the table, and extended ones, of up to six seconds. */
function fadeTimes(): Arbitrary<Variable> {
  const code = fc
    .constantFrom(0, 0, 1, 2, 4, 5, 6)
    .map((value) => stored(value, send('set-fade-time')));
  const multiplied = fc
    .oneof(
      fc.integer({ min: 0x10, max: 0x1f }),
      fc.integer({ min: 0x20, max: 0x23 }),
      fc.constant(0x0f),
    )
    .map((value) => stored(value, send('set-extended-fade-time')));
  const target = fc.constantFrom(1, 60, 200, full, 0).map(level);
  const stop = fc.constantFrom<Act>(
    [level(mask)],
    // Where a fade was stopped is where the next step begins.
    [level(mask), { hold: '60 ms' }, send('step-up')],
    [level(mask), { hold: '60 ms' }, send('step-down')],
    [send('step-up')],
    [send('up')],
    [level(90)],
    [],
    [],
  );
  const shown = inTurn(
    target,
    holdOf('300 ms', '900 ms', '4.5 s'),
    stop,
    holdOf('300 ms', '4.5 s'),
  );
  return fc.constant({
    set: oneOfActs([
      [2, code],
      [1, multiplied],
      [2, inTurn(code, multiplied)],
    ]),
    shown,
  });
}

function fadeRate(): Arbitrary<Variable> {
  const set = fc.constantFrom(1, 4, 7, 10, 15).map((value) => stored(value, send('set-fade-rate')));
  const steps = fc
    .tuple(fc.constantFrom('up', 'down'), fc.integer({ min: 1, max: 4 }))
    .map(
      ([name, times]): Act =>
        Array.from({ length: times }, () => [send(name), { hold: '150 ms' }]).flat(),
    );
  return fc.constant({
    set,
    shown: inTurn(fc.constant(level(120)), holdOf('700 ms'), steps, holdOf('300 ms')),
  });
}

const levelsOfRest = fc.constantFrom(0, 1, 100, 200, full, mask);

function powerOn(): Arbitrary<Variable> {
  const set = levelsOfRest.map((value) => stored(value, send('set-power-on-level')));
  const shown = fc.constant<Act>([
    { hold: '1 s' },
    { supply: { output: 'off' } },
    { hold: '1 s' },
    { supply: { output: 'on' } },
    { hold: '1500 ms' },
  ]);
  return fc.constant({ set, shown });
}

function failure(): Arbitrary<Variable> {
  const set = levelsOfRest.map((value) => stored(value, send('set-system-failure-level')));
  const shown = fc.constant<Act>([
    { carry: { link: 'dali', on: false } },
    { hold: '900 ms' },
    { carry: { link: 'dali', on: true } },
    { hold: '200 ms' },
  ]);
  return fc.constant({ set, shown });
}

const numbers = fc.integer({ min: 0, max: 15 });

function scene(): Arbitrary<Variable> {
  return numbers.map((value) => ({
    set: levelsOfRest.map((own) => stored(own, send('set-scene', { value }))),
    shown: inTurn(fc.constant(send('go-to-scene', { value })), holdOf('300 ms', '2.2 s')),
  }));
}

/** The level that the lamp had when it was last lit. */
function lastActive(): Arbitrary<Variable> {
  const set = fc
    .constantFrom(2, 120, full)
    .map((value): Act => [level(value), { hold: '60 ms' }, send('off')]);
  const shown = inTurn(fc.constant(send('go-to-last-active')), holdOf('300 ms', '2.2 s'));
  return fc.constant({ set, shown });
}

/** A group, and a level for it or for another whose number shares bits with it. */
function group(): Arbitrary<Variable> {
  const set = (value: number) =>
    fc
      .constantFrom('add-group', 'add-group', 'remove-group')
      .map((name): Act => [send(name, { value })]);
  return fc.tuple(numbers, fc.constantFrom(0, 0, 8, 1)).map(([value, bit]) => ({
    set: set(value),
    shown: fc.constant<Act>([send(groupLevel(value ^ bit, 90)), { hold: '300 ms' }]),
  }));
}

/** Forward frame with a level for a group: 100gggg0 (IEC 62386-102, addressing). */
function groupLevel(number: number, value: number): string {
  return [0x80 | (number << 1), value].map((byte) => byte.toString(16).padStart(2, '0')).join(' ');
}
