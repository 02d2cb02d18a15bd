import { describe, expect, test } from 'vitest';
import { loadCounted } from '../../drivers/plant/firmware/edge-coverage.ts';
import type { Lamp } from '../../harness/bench/lamp.ts';
import type { WrittenStep } from '../../harness/plan/verbs/verb.ts';
import { tryOn } from '../../harness/workflow/exploring/try-sequence.ts';
import { buildAlcoveSacn } from './build-firmware.ts';
import { lamp as alcove, rig } from './judge.ts';

/** The example is Alcove-6 but for the memory banks of its luminaire. */
const lamp = ((): Lamp => {
  const { banks: _, luminaire: __, ...dali } = alcove.links.dali ?? {};
  return { ...alcove, links: { ...alcove.links, dali } } as Lamp;
})();

async function deviationOf(bytes: Uint8Array, steps: readonly WrittenStep[]) {
  const firmware = await loadCounted(bytes, 'alcove.wasm');
  const outcome = await tryOn({ lamp, rig, lampSeed: 1, faults: [], firmware }, 1)(steps);
  if (!outcome) throw new Error('the sequence was not carried out');
  return outcome.deviation;
}

const dark = { sacn: Array(14).fill(0) };
const full = { sacn: Array(14).fill(255) };
const guest = { source: 'guest', priority: 150 };
const second = { source: 'second', priority: 50 };
const sync = (address: number): WrittenStep => ({
  send: { sacn: 'sync', 'sync-address': address },
});

interface Searched {
  readonly bug: string;
  readonly steps: readonly WrittenStep[];
}

/** Bugs in the receiver of sACN, and the fewest steps that a search left of a sequence that shows them. */
const searched: readonly Searched[] = [
  {
    bug: 'sacn-copy-taken',
    steps: [{ send: { ...dark, sequence: 129 } }, { send: { ...full, sequence: 129 } }],
  },
  { bug: 'sacn-end-not-heard', steps: [{ send: { ...full, terminated: true } }] },
  {
    bug: 'sacn-end-ends-all',
    steps: [
      { send: dark },
      { send: { ...full, priority: 20 } },
      { send: { ...full, terminated: true } },
    ],
  },
  { bug: 'sacn-preview-taken', steps: [{ send: { ...full, preview: true } }] },
  { bug: 'sacn-start-code-taken', steps: [{ send: { ...full, 'start-code': 221 } }] },
  {
    bug: 'sacn-two-sources',
    steps: [{ send: { ...full, priority: 1 } }, { send: dark }, { send: { ...full, ...guest } }],
  },
  {
    bug: 'sacn-window-half',
    steps: [
      { send: { ...dark, ...guest, sequence: 16 } },
      { send: { ...full, ...guest, sequence: 251 } },
    ],
  },
  {
    bug: 'sacn-wrap-freezes',
    steps: [
      { send: { ...dark, ...guest, sequence: 255 } },
      { send: { ...full, ...guest, sequence: 0 } },
    ],
  },
  { bug: 'sacn-wrap-late', steps: [{ send: dark }, { send: { ...full, sequence: 253 } }] },
  {
    bug: 'sacn-priority-once',
    steps: [
      { send: { ...dark, ...second } },
      { send: { ...full, ...guest } },
      { hold: '100 ms' },
      { send: { ...dark, ...second, priority: 200 } },
    ],
  },
  {
    bug: 'sacn-sequence-shared',
    steps: [
      { send: { ...dark, ...guest } },
      { send: { ...dark, ...second } },
      { send: { ...dark, ...second } },
      { send: { ...full, ...guest } },
    ],
  },
  {
    bug: 'sacn-cid-short',
    steps: [
      { send: { ...dark, ...guest } },
      { send: { ...dark, ...guest } },
      { hold: '100 ms' },
      { send: { ...full, ...second } },
      { send: { ...full, ...second } },
      { send: { ...full, ...second } },
    ],
  },
  {
    bug: 'sacn-universe-unchecked',
    steps: [{ send: dark }, { hold: '100 ms' }, { send: { ...full, ...guest, universe: 'other' } }],
  },
  {
    bug: 'sacn-layers-unchecked',
    steps: [
      { send: dark },
      { hold: '100 ms' },
      { send: { ...full, ...guest, fields: { 'root-vector': 5 } } },
    ],
  },
  {
    bug: 'sacn-waiting-kept',
    steps: [
      { set: { level: '10 %', link: 'console' } },
      { send: { ...full, 'sync-address': 700 } },
      sync(700),
      { hold: '100 ms' },
      { send: { ...full, 'sync-address': 700 } },
      { hold: '100 ms' },
      { send: dark },
      { hold: '100 ms' },
      sync(700),
    ],
  },
  {
    bug: 'sacn-sync-any-address',
    steps: [
      { send: { ...dark, 'sync-address': 700 } },
      sync(700),
      { hold: '100 ms' },
      { send: { ...full, 'sync-address': 700 } },
      sync(7),
      { hold: '400 ms' },
    ],
  },
  {
    bug: 'sacn-sync-waits-for-ever',
    steps: [
      { send: { ...dark, 'sync-address': 700 } },
      sync(700),
      { hold: '2.9 s' },
      { send: { ...full, 'sync-address': 700, 'force-sync': true } },
    ],
  },
];

describe('what a search shows of a bug in the receiver of sACN', () => {
  const healthy = buildAlcoveSacn();

  test.each(searched)('$bug', async ({ bug, steps }) => {
    expect(await deviationOf(buildAlcoveSacn(bug), steps)).not.toBeNull();
    expect(await deviationOf(healthy, steps)).toBeNull();
  });
});

/** Sequences on which the model or the example was once wrong. */
describe('the example agrees with the model', () => {
  const agreed: readonly { readonly what: string; readonly steps: readonly WrittenStep[] }[] = [
    {
      what: 'a packet of another start code that has the number of the first levels',
      steps: [{ send: { ...dark, 'start-code': 221 } }, { send: { ...full, sequence: 0 } }],
    },
    {
      what: 'bytes behind the last slot of a packet',
      steps: [{ send: { ...full, ...guest, length: 165 } }],
    },
    {
      what: 'cut slots, which it takes of sACN and leaves of DMX512',
      steps: [
        { send: { sacn: [170, 1, 85, 85, ...Array(10).fill(255)] } },
        { send: { sacn: [255] } },
        { hold: '100 ms' },
        { send: { dmx: [255] } },
      ],
    },
    {
      what: 'a colour temperature that is stepped while a fade time is set',
      steps: [
        { white: { temperature: '2700 K' } },
        { send: { dali: 'set-fade-time' } },
        { send: { dali: 'level', value: 1 } },
        { send: { dali: 'step-warmer' } },
        { send: { dali: 'query-status' } },
      ],
    },
    {
      what: 'nine sources, where it has room for eight, as they are lost one after the other',
      steps: [
        { send: dark },
        { send: { ...full, priority: 0 } },
        { send: { ...full, priority: 150 } },
        ...[101, 99, 61].map((priority) => ({ send: { ...dark, priority } })),
        { send: { ...dark, source: 'guest' } },
        { send: { ...dark, source: 'third' } },
        { hold: '20 ms' },
        { send: { ...full, source: 'second', priority: 150 } },
        { hold: '1 s' },
      ],
    },
  ];

  test.each(agreed)('$what', async ({ steps }) => {
    expect(await deviationOf(buildAlcoveSacn(), steps)).toBeNull();
  });
});
