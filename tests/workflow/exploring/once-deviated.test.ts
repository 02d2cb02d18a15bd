import { expect, it } from 'vitest';
import { tryOn } from '../../../harness/workflow/exploring/try-sequence.ts';
import { readRunInputs } from '../../../harness/workflow/inputs/run-inputs.ts';

const full = { send: { sacn: Array(20).fill(255) } };

/** Sequences on which the model, the simulated lamp or its healthy firmware was once wrong. */
it.each([
  {
    what: 'a bus that is dead as the lamp starts',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'set-system-failure-level', to: 'broadcast' } },
      { send: { dali: 'level', value: 254, to: 'broadcast' } },
      { hold: '1 s' },
      { carry: { link: 'dali', on: false } },
      { hold: '1 s' },
      { supply: { output: 'off' } },
      { supply: { output: 'on' } },
    ],
  },
  {
    what: 'a light that rests, goes out and rests again before the link refuses a mix',
    lamp: 'alcove-9',
    steps: [
      { send: { dmx: Array(40).fill(255) } },
      { hold: '300 ms' },
      { send: { dmx: Array(40).fill(0) } },
      { hold: '100 ms' },
      { fade: { level: '100 %', over: '1 s', link: 'dali' } },
    ],
  },
  {
    what: 'a source without slots beside one that ends',
    lamp: 'alcove-6',
    steps: [
      { send: { ...full.send, source: 'guest', priority: 150 } },
      { hold: '1331 ms' },
      { set: { level: '100 %', link: 'sacn' } },
      { send: { sacn: [] } },
      { hold: '1 s' },
    ],
  },
  {
    what: 'MAX that moves while the lamp starts, and the bit of a power cycle',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'level', value: 254 } },
      { hold: '1 s' },
      { supply: { output: 'off' } },
      { hold: '1 s' },
      { supply: { output: 'on' } },
      { hold: '560 ms' },
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'set-max', to: 'lamp' } },
      { send: { dali: 'query-status' } },
    ],
  },
  {
    what: 'DOWN from beyond MAX',
    lamp: 'alcove-9',
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'set-max', to: 'lamp' } },
      { send: { console: 'dim 70.98 mix 50 1 0 0.05 0.05 82.34 50 0.1 50' } },
      { send: { dali: 'down', to: 'lamp' } },
    ],
  },
  {
    what: 'a colour temperature that changes while the level rests',
    lamp: 'alcove-9',
    steps: [
      { white: { temperature: '5000 K' } },
      { send: { dali: 'recall-max' } },
      { white: { temperature: '6406 K' } },
      { send: { dali: 'set-scene', value: 0, to: 'broadcast' } },
      { set: { level: '100 %', link: 'dali' } },
    ],
  },
  {
    what: 'the last active level after a POWER ON LEVEL',
    lamp: 'alcove-9',
    steps: [
      { send: { dali: 'dtr0', value: 1 } },
      { send: { dali: 'set-power-on-level', to: 'broadcast' } },
      { send: { dali: 'level', value: 254 } },
      { hold: '1 s' },
      { supply: { output: 'off' } },
      { supply: { output: 'on' } },
      { hold: '1 s' },
      { send: { dali: 'go-to-last-active' } },
    ],
  },
])('agrees with the model: $what', async ({ lamp: name, steps }) => {
  const lampFile = `specs/lamps/${name}.lamp.yaml`;
  const inputs = readRunInputs({ paths: ['specs'], lamp: lampFile, tags: [] }, process.cwd());
  const tried = { lamp: inputs.lamp, rig: inputs.rig, lampSeed: 1, faults: [] };
  const outcome = await tryOn(tried, 11)(steps);
  expect(outcome?.deviation).toBeNull();
});

it('agrees with the model on the last active level of a lamp that was delivered lit', async () => {
  const inputs = readRunInputs({ paths: ['specs'], tags: [] }, process.cwd());
  const asDelivered = { level: 0.1, mix: 'all' as const, powerOn: 'last' as const };
  const lamp = { ...inputs.lamp, asDelivered: { ...asDelivered, systemFailure: 0 } };
  const tried = { lamp, rig: inputs.rig, lampSeed: 1, faults: [] };
  const outcome = await tryOn(tried, 11)([{ send: { dali: 'go-to-last-active' } }]);
  expect(outcome?.deviation).toBeNull();
});

it('agrees with the model where sACN comes with other slots and another loss than DMX512', async () => {
  const inputs = readRunInputs({ paths: ['specs'], tags: [] }, process.cwd());
  const { dmx, sacn } = inputs.lamp.links;
  if (!dmx || !sacn) throw new Error('a lamp with both links expected');
  const links = {
    ...inputs.lamp.links,
    sacn: { ...sacn, bits: 8 as const, onLoss: 'off' as const },
  };
  const tried = { lamp: { ...inputs.lamp, links }, rig: inputs.rig, lampSeed: 1, faults: [] };
  const steps = [
    { set: { level: '10 %', mix: 'all', link: 'sacn' } },
    { hold: '1 s' },
    { carry: { link: 'sacn', on: false } },
    { hold: '4 s' },
    { set: { level: '30 %', mix: 'all', link: 'dmx' } },
    { hold: '1 s' },
    { carry: { link: 'dmx', on: false } },
    { hold: '3 s' },
  ];
  const outcome = await tryOn(tried, 11)(steps);
  expect(outcome?.deviation).toBeNull();
});
