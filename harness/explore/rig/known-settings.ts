import type { WrittenStep } from '../../plan/verbs/verb.ts';

/** Full range, and no fade: what the model takes for given, whatever was set before. */
const settings = [
  ['set-max', 254],
  ['set-min', 0],
  ['set-fade-time', 0],
  ['set-extended-fade-time', 0],
  ['set-fade-rate', 7],
] as const;
const between = { hold: '30 ms' };

/** Steps that give the DALI gear of a lamp the settings it left its factory with (IEC 62386-102 table 15, from memory). */
export const knownSettings: readonly WrittenStep[] = settings.flatMap(([name, value]) => [
  { send: { dali: 'dtr0', value } },
  between,
  { send: { dali: name } },
  between,
]);
