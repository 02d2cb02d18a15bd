import { expect, it } from 'vitest';
import type { Lamp } from '../../../harness/bench/lamp.ts';
import type { WrittenStep } from '../../../harness/plan/verbs/verb.ts';
import { tryOn } from '../../../harness/workflow/exploring/try-sequence.ts';
import { readRunInputs } from '../../../harness/workflow/inputs/run-inputs.ts';

const full = { send: { sacn: Array(20).fill(255) } };

const linear = (lamp: Lamp): Lamp => ({ ...lamp, curve: { kind: 'linear', bottom: 0.001 } });
const deliveredLit = (lamp: Lamp): Lamp => ({
  ...lamp,
  asDelivered: { level: 0.1, mix: 'all', powerOn: 'last', systemFailure: 0 },
});

/** A lamp whose two inputs for slots have these actions on loss, and sACN a width of its own. */
function twoInputs(
  onLoss: { readonly dmx: 'hold' | 'off'; readonly sacn: 'hold' | 'off' },
  bits: 8 | 16 = 8,
) {
  return (lamp: Lamp): Lamp => {
    const { dmx, sacn } = lamp.links;
    if (!dmx || !sacn) throw new Error('a lamp with both links expected');
    const links = {
      ...lamp.links,
      dmx: { ...dmx, onLoss: onLoss.dmx },
      sacn: { ...sacn, bits, onLoss: onLoss.sacn },
    };
    return { ...lamp, links };
  };
}

/** A lamp at the end of its universe, so that a frame takes 22 ms; it goes dark on loss. */
const lateInFrame = (lamp: Lamp): Lamp => ({
  ...lamp,
  links: { ...lamp.links, dmx: { firstSlot: 493, bits: 8, onLoss: 'off' } },
});

interface Once {
  readonly what: string;
  readonly lamp: string;
  readonly change?: (lamp: Lamp) => Lamp;
  readonly steps: readonly WrittenStep[];
}

/** Sequences on which the model, the simulated lamp or its healthy firmware was once wrong. */
it.each<Once>([
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
    what: 'a bus that is dead as the firmware restarts',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'set-system-failure-level', to: 'broadcast' } },
      { send: { dali: 'level', value: 254, to: 'broadcast' } },
      { hold: '1 s' },
      { carry: { link: 'dali', on: false } },
      { reset: 'now' },
    ],
  },
  {
    what: 'MIN that moves across a fade from the dark',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 1 } },
      { send: { dali: 'set-fade-time' } },
      { send: { dali: 'level', value: 125, to: 'lamp' } },
      { send: { dali: 'dtr0', value: 85 } },
      { send: { dali: 'set-min', to: 'lamp' } },
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
  {
    what: 'MIN that moves across a straight fade from the dark',
    lamp: 'alcove-6',
    change: linear,
    steps: [
      { send: { dali: 'dtr0', value: 1 } },
      { send: { dali: 'set-fade-time' } },
      { send: { dali: 'level', value: 125, to: 'lamp' } },
      { send: { dali: 'dtr0', value: 85 } },
      { send: { dali: 'set-min', to: 'lamp' } },
    ],
  },
  {
    what: 'the last active level of a lamp that was delivered lit',
    lamp: 'alcove-6',
    change: deliveredLit,
    steps: [{ send: { dali: 'go-to-last-active' } }],
  },
  {
    what: 'sACN with other slots and another loss than DMX512',
    lamp: 'alcove-6',
    change: twoInputs({ dmx: 'hold', sacn: 'off' }),
    steps: [
      { set: { level: '10 %', mix: 'all', link: 'sacn' } },
      { hold: '1 s' },
      { carry: { link: 'sacn', on: false } },
      { hold: '4 s' },
      { set: { level: '30 %', mix: 'all', link: 'dmx' } },
      { hold: '1 s' },
      { carry: { link: 'dmx', on: false } },
      { hold: '3 s' },
    ],
  },
  {
    what: 'a source without slots that leads a lamp with an input of its own for sACN',
    lamp: 'alcove-6',
    change: twoInputs({ dmx: 'hold', sacn: 'off' }),
    steps: [
      { send: { sacn: Array(20).fill(0) } },
      { send: { ...full.send, source: 'guest', priority: 150 } },
      { send: { sacn: [] } },
      { hold: '5 s' },
    ],
  },
  {
    what: 'MAX that moves below the level at which a lamp was delivered, and a power cycle',
    lamp: 'alcove-6',
    change: deliveredLit,
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'set-max' } },
      { supply: { output: 'off' } },
      { hold: '300 ms' },
      { supply: { output: 'on' } },
    ],
  },
  {
    what: 'a step from a straight fade that has just left the dark',
    lamp: 'alcove-6',
    change: (own) => ({ ...own, curve: { kind: 'linear', bottom: 0.03 } }),
    steps: [
      { send: { dali: 'dtr0', value: 27 } },
      { send: { dali: 'set-extended-fade-time' } },
      { send: { dali: 'level', value: 1 } },
      { send: { dali: 'level', value: 0 } },
      { send: { dali: 'step-up' } },
      { hold: '3 s' },
      { send: { dali: 'query-actual-level' } },
    ],
  },
  {
    what: 'slots that are glided to from the middle of a fade',
    lamp: 'alcove-9',
    steps: [
      full,
      { hold: '100 ms' },
      { fade: { level: '100 %', over: '20 ms', link: 'console' } },
      { fade: { level: '100 %', over: '1 s', wait: true, link: 'sacn' } },
    ],
  },
  {
    what: 'DMX512 that is lost, off, while sACN has the light',
    lamp: 'alcove-6',
    change: twoInputs({ dmx: 'off', sacn: 'hold' }),
    steps: [
      { fade: { level: '100 %', mix: 'all', over: '1 s', link: 'dmx' } },
      { carry: { link: 'dmx', on: false } },
      { hold: '300 ms' },
      { set: { level: '50 %', mix: 'all', link: 'sacn' } },
      { hold: '1 s' },
    ],
  },
  {
    what: 'two lines within the last frame of a signal',
    lamp: 'alcove-6',
    change: lateInFrame,
    steps: [
      { fade: { level: '100 %', over: '1 s', wait: false, link: 'dmx' } },
      { hold: '100 ms' },
      { set: { level: '100 %', link: 'console' } },
      {
        fade: {
          level: '100 %',
          mix: { warm: '100 %', cool: '1 %' },
          over: '1 s',
          wait: false,
          link: 'console',
        },
      },
      { carry: { link: 'dmx', on: false } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'three lines within a frame',
    lamp: 'alcove-6',
    change: lateInFrame,
    steps: [
      { fade: { level: '100 %', mix: { warm: '100 %' }, over: '1 s', wait: false, link: 'dmx' } },
      { hold: '100 ms' },
      { set: { level: '100 %', link: 'console' } },
      { set: { level: '100 %', mix: { warm: '100 %', cool: '50 %' }, link: 'console' } },
      { set: { level: '100 %', mix: 'all', link: 'console' } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'a signal that stops, and bytes without a break after it',
    lamp: 'alcove-6',
    change: lateInFrame,
    steps: [
      { send: { dmx: Array(512).fill(255) } },
      { carry: { link: 'dmx', on: false } },
      { hold: '300 ms' },
      { noise: { link: 'dmx', bytes: 40 } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'a line of which a lamp that starts hears the end',
    lamp: 'alcove-6',
    change: (own) => ({ ...own, startUp: 0.052 }),
    steps: [
      { noise: { link: 'console', bytes: 6 } },
      { reset: 'now' },
      { send: { console: 'fade 453 dim 100.0 mix 1 29.25 50 84.62 1 1' } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'a primary that MASK takes back before it is activated',
    lamp: 'alcove-6',
    steps: [
      ...[0, 255].flatMap((low): WrittenStep[] => [
        { send: { dali: 'dtr0', value: low } },
        { send: { dali: 'dtr1', value: low } },
        { send: { dali: 'dtr2', value: 0 } },
        { send: { dali: 'set-temporary-primary' } },
      ]),
      { send: { dali: 'recall-max' } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'MASK that comes as slots are glided to',
    lamp: 'alcove-6',
    steps: [
      { fade: { level: '100 %', over: '1 s', wait: true, link: 'sacn' } },
      { hold: '100 ms' },
      { send: { dmx: Array(14).fill(255) } },
      { send: { dali: 'level', value: 255, to: 'lamp' } },
    ],
  },
  {
    what: 'a level in the middle of a crossfade that takes a channel out',
    lamp: 'alcove-1',
    steps: [
      { set: { level: '100 %', mix: { warm: '20 %' }, link: 'console' } },
      { set: { level: '100 %', link: 'dali' } },
      { send: { console: 'fade 500 dim 100 mix 0' } },
      { fade: { level: '0.101 %', over: '1 s', link: 'dali' } },
    ],
  },
  {
    what: 'MAX that is set where a colour of the bus has kept a level of another link below MIN',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 0 } },
      { send: { dali: 'dtr1', value: 0 } },
      { send: { console: 'fade 2000 dim 0.05 mix 50 100.0 100 50 52.45 0' } },
      { send: { dali: 'dtr2', value: 0 } },
      { send: { dali: 'set-temporary-primary' } },
      { send: { dali: 'activate' } },
      { send: { dali: 'set-max', to: 'group' } },
    ],
  },
  {
    what: 'two sources that go at once, while the third has sent nothing since DMX512 came',
    lamp: 'alcove-6',
    steps: [
      { set: { level: '100 %', link: 'sacn' } },
      { send: { sacn: Array(14).fill(0), priority: 150 } },
      { send: { sacn: Array(14).fill(0), priority: 0 } },
      { hold: '1 s' },
      { send: { dmx: Array(14).fill(255) } },
      { hold: '1 s' },
      { carry: { link: 'sacn', on: false } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'slots behind a level of DALI, where those before them may wait for synchronisation',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'query-device-type', to: 'group' } },
      { send: { sacn: Array(14).fill(255), 'sync-address': 7 } },
      { hold: '404 ms' },
      { set: { level: '100 %', link: 'dali' } },
      { carry: { link: 'sacn', on: true } },
    ],
  },
  {
    what: 'a DMX512 line that has said nothing but noise, while a sACN source has the light',
    lamp: 'alcove-6',
    change: twoInputs({ dmx: 'off', sacn: 'off' }, 16),
    steps: [
      { send: { sacn: Array(16).fill(255), sequence: 6 } },
      { noise: { link: 'dmx', bytes: 25 } },
    ],
  },
  {
    what: 'a packet of another start code after DMX512 has taken the light from its source',
    lamp: 'alcove-6',
    steps: [
      { carry: { link: 'sacn', on: true } },
      { hold: '190 ms' },
      {
        fade: {
          ...{ level: '100 %', mix: { red: '100 %', cyan: '20 %' }, over: '200 ms', wait: true },
          link: 'sacn',
        },
      },
      { hold: '1324 ms' },
      { white: { temperature: '4000 K' } },
      { hold: '990 ms' },
      { carry: { link: 'dmx', on: true } },
      { send: { dali: 'dtr1', value: 0 } },
      { send: { dali: 'dtr2', value: 0 } },
      { send: { dali: 'set-temporary-primary' } },
      { send: { sacn: Array(14).fill(255), 'start-code': 85 } },
    ],
  },
  {
    what: 'two sources that say the same, of which one goes while a console has the light',
    lamp: 'alcove-6',
    steps: [
      {
        send: { sacn: Array(14).fill(255), 'sync-address': 7, priority: 150, 'force-sync': true },
      },
      { send: { sacn: 'sync', 'sync-address': 7 } },
      { hold: '1.5 s' },
      { send: { sacn: Array(14).fill(255), source: 'guest', priority: 150 } },
      { fade: { level: '100 %', over: '1 s', link: 'console' } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'the one of two sources that goes, when the other may have had the light all along',
    lamp: 'alcove-9',
    steps: [
      { send: { sacn: Array(20).fill(0), source: 'guest', priority: 150, sequence: 129 } },
      { hold: '1.4 s' },
      { send: { sacn: Array(20).fill(255), priority: 150 } },
      { hold: '1 s' },
      { set: { level: '100 %', link: 'console' } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'noise on the DMX512 line behind slots of sACN that end within those of the lamp',
    lamp: 'alcove-9',
    steps: [
      { send: { sacn: Array(9).fill(255) } },
      { noise: { link: 'dmx', bytes: 32 } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'a dead bus that loses its power once more',
    lamp: 'alcove-6',
    steps: [
      { send: { dali: 'dtr0', value: 1 } },
      { send: { dali: 'set-system-failure-level' } },
      { carry: { link: 'dali', on: false } },
      { hold: '300 ms' },
      { carry: { link: 'dali', on: false } },
      { hold: '1.5 s' },
    ],
  },
  {
    what: 'a source that ends and comes back before the DMX512 line beside it is lost',
    lamp: 'alcove-9',
    steps: [
      { carry: { link: 'dmx', on: true } },
      { carry: { link: 'dmx', on: false } },
      { send: { sacn: Array(20).fill(255) } },
      { hold: '100 ms' },
      { send: { sacn: Array(20).fill(255), priority: 100, terminated: true } },
      { fade: { level: '100 %', over: '1 s', wait: true, link: 'console' } },
      { hold: '1.5 s' },
    ],
  },
])('agrees with the model: $what', async ({ lamp: name, change = (own) => own, steps }) => {
  const lampFile = `specs/lamps/${name}.lamp.yaml`;
  const inputs = readRunInputs({ paths: ['specs'], lamp: lampFile, tags: [] }, process.cwd());
  const tried = { lamp: change(inputs.lamp), rig: inputs.rig, lampSeed: 1, faults: [] };
  const outcome = await tryOn(tried, 11)(steps);
  expect(outcome?.deviation).toBeNull();
});
