import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { openPlantBench } from '../../../drivers/plant/plant-bench.ts';
import { driverSettings } from '../../../drivers/registry.ts';
import { readRig } from '../../../harness/bench/rig-file.ts';
import { plannedSteps } from '../../../harness/explore/plain-reader.ts';
import type { WrittenStep } from '../../../harness/plan/verbs/verb.ts';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import type { ConditionTask } from '../../../harness/run/engine/lane.ts';
import { shippedLamp } from '../../spec-language/shipped-lamp.ts';

const lamp = shippedLamp('alcove-6');
const file = 'specs/rigs/simulated.rig.yaml';
const read = readRig(readFileSync(file, 'utf8'), file, driverSettings);
if (!('rig' in read)) throw new Error('the shipped rig is bad');
const { rig } = read;

/** Verdict of a condition that does this, and then commands over the console. */
async function verdictAfter(...steps: WrittenStep[]): Promise<string> {
  const stimulus =
    plannedSteps([...steps, { set: { level: '50 %', link: 'console' } }], lamp) ?? [];
  const condition = { key: '', values: {}, stimulus, captures: [], criteria: [] };
  const faults: ConditionTask['faults'] = [];
  const task = { spec: 's', condition, position: 1, repeat: 0, lamp, rig, faults };
  const seeds = { seed: 1, lampSeed: 1 };
  const open = () => openPlantBench({ lamp, rig, ...seeds, faults });
  const clock = { wallNow: () => '' };
  const { signal } = new AbortController();
  return (await runCondition({ ...task, ...seeds }, open, signal, clock)).condition.verdict;
}

it('a lamp without power is not blamed for its silence, simulated or not', async () => {
  expect(await verdictAfter({ supply: { output: 'off' } }, { hold: '1 s' })).toBe('error');
});

it('a lamp that has its power back answers', async () => {
  expect(await verdictAfter({ supply: { output: 'on' } }, { hold: '1 s' })).toBe('not run');
});

it('a lamp that was told to restart may be silent while it starts', async () => {
  expect(await verdictAfter({ reset: 'now' })).not.toBe('fail');
  expect(await verdictAfter({ reset: 'now' }, { hold: '1 s' })).toBe('not run');
});
