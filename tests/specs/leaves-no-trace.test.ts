import { describe, expect, it } from 'vitest';
import { type Remembered, recall } from '../../drivers/plant/firmware/lamp-memory.ts';
import { openPlantBench } from '../../drivers/plant/plant-bench.ts';
import type { Plan } from '../../harness/plan/plan.ts';
import type { Step } from '../../harness/plan/verbs/verbs.ts';
import { runCondition } from '../../harness/run/condition/run-condition.ts';
import { readSpecs } from '../../harness/workflow/inputs/read-specs.ts';
import { lamp, rig } from '../firmware/judge.ts';
import { sampled } from '../sampled.ts';
import { specsFolder } from '../spec-language/shipped-lamp.ts';

const { plans } = readSpecs([specsFolder], lamp, '/');
const signal = new AbortController().signal;

/** Carries out the last condition of a claim on a lamp that keeps `memory`. */
async function runOn(memory: Uint8Array<ArrayBuffer>, { spec, conditions }: Plan): Promise<string> {
  const condition = conditions.at(-1)!;
  const seeds = { seed: 1, lampSeed: 1 };
  const task = { spec, condition, position: 1, repeat: 0, lamp, rig, faults: [], ...seeds };
  const open = () => openPlantBench({ lamp, rig, faults: [], memory, ...seeds });
  const clock = { wallNow: () => '2026-01-01T00:00:00Z' };
  return (await runCondition(task, open, signal, clock)).condition.verdict;
}

function sendsDali(steps: readonly Step[]): boolean {
  return steps.some(
    (step) =>
      (step.verb === 'send' && step.message.link === 'dali') ||
      (step.verb === 'repeat' && sendsDali(step.steps)),
  );
}

function registersIn(memory: Uint8Array): Remembered['registers'] {
  const kept = recall(memory, lamp.channels.length);
  if (!kept) throw new Error('the lamp has kept nothing');
  return kept.registers;
}

const asked = plans.filter(({ conditions }) => sendsDali(conditions[0]!.stimulus));

describe('on a real lamp, which keeps its settings, the next claim finds them as they were after', () => {
  it.each(sampled(asked, 8).map((plan) => [plan.spec, plan] as const))('%s', async (_, plan) => {
    const memory = new Uint8Array(256).fill(0xff);
    // What is first kept are the settings as from the factory.
    await runOn(memory, plans.find(({ spec }) => spec === 'dali-answers')!);
    const before = registersIn(memory);
    expect(await runOn(memory, plan)).toBe('pass');
    expect(registersIn(memory)).toEqual(before);
  });
});
