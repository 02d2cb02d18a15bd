import fc, { type Arbitrary } from 'fast-check';
import type { Lamp } from '../../bench/lamp.ts';
import { daliCommands } from '../../plan/links/dali-commands.ts';
import type { WrittenStep } from '../../plan/verbs/verb.ts';
import { byte, oneOfSteps } from './values.ts';

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
export function daliActs({ links }: Lamp): Arbitrary<WrittenStep> {
  const { group } = links.dali ?? {};
  const to = fc.constantFrom(
    'lamp',
    'lamp',
    'broadcast',
    ...(group === undefined ? [] : ['group']),
  );
  const scene = fc.constantFrom(0, 1, 7, 15);
  const send = (dali: string, more: object = {}): WrittenStep => ({ send: { dali, ...more } });
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
  return oneOfSteps([
    [8, numbered(['level'], byte)],
    [5, named(movers)],
    [4, byte.map((value) => send('dtr0', { value }))],
    [4, named(settings)],
    [3, numbered(['go-to-scene', 'set-scene', 'remove-scene'], scene)],
    [1, numbered(['add-group', 'remove-group'], fc.constantFrom(0, 2, 15))],
    [4, named(queries.filter((name) => name !== 'query-scene'))],
    [1, numbered(['query-scene'], scene)],
    [1, named(['reset', 'store-actual-level', 'enable-dapc-sequence'])],
    [2, frames],
    [1, fc.tuple(byte, byte, byte).map((all) => send(all.map(hex).join(' ')))],
    [1, fc.boolean().map((on) => ({ carry: { link: 'dali', on } }))],
  ]);
}

function hex(value: number): string {
  return value.toString(16).padStart(2, '0');
}
