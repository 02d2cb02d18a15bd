import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { runCondition } from '../../../harness/run/condition/run-condition.ts';
import { readSpec } from '../../../harness/spec-language/spec-file.ts';
import { readRunInputs } from '../../../harness/workflow/inputs/run-inputs.ts';
import { specsFolder } from '../../spec-language/shipped-lamp.ts';

const file = join(specsFolder, 'control', 'sacn-preview.spec.yaml');
const { lamp, rig } = readRunInputs(
  { paths: [file], lamp: join(specsFolder, 'lamps', 'alcove-6.lamp.yaml'), tags: [] },
  '/',
);

test('a condition of which nothing reaches the lamp is not run: no bench is opened for it, and it says why', async () => {
  const claim = readFileSync(file, 'utf8').replace('{ lamp-slots: 255 }', '[255, 255]');
  const read = readSpec(claim, { file: 'x', folder: 'x', digest: '0', lamp });
  const condition = 'plan' in read ? read.plan.conditions[0] : undefined;
  if (!condition) throw new Error('the claim has issues');
  const task = { spec: 'x', condition, position: 1, repeat: 0, lamp, rig, seed: 1, lampSeed: 1 };
  const { condition: ran } = await runCondition(
    { ...task, faults: [] },
    () => Promise.reject(new Error('a bench was opened')),
    new AbortController().signal,
    { wallNow: () => '2026-01-01T00:00:00Z' },
  );
  expect(ran.verdict).toBe('not run');
  expect(ran.reason).toMatch(
    /proves nothing of lamp alcove-6.*the message carries only slots 1 to 2/,
  );
});
