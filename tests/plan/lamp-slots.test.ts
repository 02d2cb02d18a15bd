import { expect, it } from 'vitest';
import type { Lamp } from '../../harness/bench/lamp.ts';
import { readSpec } from '../../harness/spec-language/spec-file.ts';
import { shippedLamp } from '../spec-language/shipped-lamp.ts';

const alcove = shippedLamp('alcove-6');

/** Alcove-6 elsewhere in its universe. */
function lampAt(firstSlot: number, bits: 8 | 16): Lamp {
  const slots = { firstSlot, bits, onLoss: 'hold' } as const;
  const { dmx, sacn } = alcove.links;
  return {
    ...alcove,
    links: { ...alcove.links, dmx: { ...dmx, ...slots }, sacn: { universe: 7, ...sacn, ...slots } },
  };
}

function read(step: string, lamp: Lamp) {
  const text = `spec: x
claim: It does.
stimulus:
  - ${step}
  - hold: 1 s
capture:
  - { signal: light, rate: 20 kHz }
criteria:
  - { metric: level-noise, of: light, at-most: 1 % }
`;
  return readSpec(text, { file: 'x', folder: 'x', digest: '0', lamp });
}

function slotsOf(step: string, lamp: Lamp): readonly number[] {
  const one = read(step, lamp);
  if ('issues' in one) throw new Error(one.issues.map(({ message }) => message).join('; '));
  const [first] = one.plan.conditions[0]?.stimulus ?? [];
  return first?.verb === 'send' && 'slots' in first.message ? first.message.slots : [];
}

it.each([
  [1, 16, 14],
  [1, 8, 7],
  [100, 16, 113],
  [480, 8, 486],
] as const)('lamp-slots of a lamp at slot %s with %s bit end at slot %s', (first, bits, last) => {
  const slots = slotsOf('send: { sacn: { lamp-slots: 200 }, preview: true }', lampAt(first, bits));
  expect(slots).toHaveLength(last);
  expect(slots.slice(0, first - 1).every((slot) => slot === 0)).toBe(true);
  expect(slots.slice(first - 1).every((slot) => slot === 200)).toBe(true);
});

it('others are all of the universe that the lamp does not read', () => {
  const slots = slotsOf('send: { dmx: { lamp-slots: 0, others: 255 } }', lampAt(100, 16));
  expect(slots).toHaveLength(512);
  expect(slots.filter((slot) => slot === 0)).toHaveLength(14);
  expect(slots.indexOf(0)).toBe(99);
});

it.each([
  ['send: { dmx: { lamp-slots: 256 } }', /256/],
  ['send: { dmx: { lamp-slots: 1, others: -1 } }', /-1/],
  ['send: { dmx: { slots: 1 } }', /unknown key "slots"; known: lamp-slots, lamp-values, others/],
  ['send: { sacn: { lamp-slot: 1 } }', /unknown key "lamp-slot"; did you mean "lamp-slots"/],
  ['send: { sacn: [1, [2]] }', /expected a figure.*, found a list/],
])('%s is an issue', (step, words) => {
  const one = read(step, alcove);
  expect('issues' in one && one.issues.map(({ message }) => message).join()).toMatch(words);
});

it.each([
  [1, 16, 15],
  [14, 16, 28],
  [15, 16, 1],
  [480, 8, 1],
] as const)('a start address elsewhere than slot %s with %s bit is %s', (first, bits, start) => {
  const one = read('tell: { property: dmx-start-address, value: elsewhere }', lampAt(first, bits));
  expect('plan' in one && one.plan.conditions[0]?.stimulus[0]).toMatchObject({ value: start });
});
