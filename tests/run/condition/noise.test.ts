import { expect, test } from 'vitest';
import type { LampLink } from '../../../harness/bench/ports.ts';
import { perform, type StimulusContext } from '../../../harness/run/condition/stimulus.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

/** The bytes of each of three noise steps, and what was written down. */
async function noiseOf(seed: number) {
  const heard: number[][] = [];
  const deadlines: number[] = [];
  const link = {
    kind: 'lamp-link',
    name: 'bus',
    link: 'dali',
    noise: async (bytes: Uint8Array, { deadline }: { deadline: number }) => {
      heard.push([...bytes]);
      deadlines.push(deadline);
    },
  } as unknown as LampLink;
  const context = {
    bench: { clock: { now: () => 0 }, instruments: new Map([['bus', link]]) },
    rig: { rig: 'r', links: { dali: 'bus' }, instruments: [{ name: 'bus', deadline: 5 }] },
    lamp: shippedLamp('alcove-6'),
    zero: 0,
    solo: null,
    seed,
    signal: new AbortController().signal,
    commands: [],
    answers: [],
  } as unknown as StimulusContext;
  for (let turn = 0; turn < 3; turn++)
    await perform({ at: 0, step: { verb: 'noise', link: 'dali', bytes: 300 } }, context);
  return { heard, deadlines, commands: context.commands };
}

test('noise has other bytes at each step and for each seed, and the same ones for the same seed', async () => {
  const { heard } = await noiseOf(1);
  expect(heard.map(({ length }) => length)).toEqual([300, 300, 300]);
  expect(new Set(heard.map(String)).size).toBe(3);
  expect((await noiseOf(1)).heard).toEqual(heard);
  expect((await noiseOf(9)).heard.map(String)).not.toContain(String(heard[0]));
});

test('noise is written down, and a slow link has the time that it needs on top of its deadline', async () => {
  const { commands, deadlines } = await noiseOf(1);
  expect(commands[0]).toMatchObject({ link: 'dali', verb: 'noise', text: '300 random bytes' });
  // 100 frames of 40 ms.
  expect(deadlines[0]).toBeCloseTo(9, 9);
});
