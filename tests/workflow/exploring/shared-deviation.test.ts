import { describe, expect, it } from 'vitest';
import { isShared } from '../../../harness/explore/shared-deviation.ts';
import type { WrittenStep } from '../../../harness/plan/verbs/verb.ts';
import { tryOn } from '../../../harness/workflow/exploring/try-sequence.ts';
import { readRunBench } from '../../../harness/workflow/inputs/run-inputs.ts';

const { lamp, rig } = readRunBench({ lamp: 'specs/lamps/alcove-6.lamp.yaml' }, process.cwd());
const lampWith = (...ids: readonly string[]) =>
  tryOn({ lamp, rig, lampSeed: 1, faults: ids.map((fault) => ({ fault, size: 1 })) }, 1);

const steps: readonly WrittenStep[] = [
  { set: { level: '0.1 %', mix: 'all', link: 'console' } },
  { fade: { level: '100 %', over: '1 s', link: 'console' } },
  { hold: '1 s' },
];
const found = { kind: 'too bright after console fade', steps };

describe('a deviation that another lamp is tried for', () => {
  it('is not shared by a lamp that follows the model', async () => {
    expect(await isShared(found, lampWith())).toBe(false);
  });

  it('is shared by one that leaves it the same way', async () => {
    expect(await isShared(found, lampWith('linear-dimming'))).toBe(true);
  });

  it('is not shared by one that leaves it another way', async () => {
    const darker = { ...found, kind: 'too dark after console fade' };
    expect(await isShared(darker, lampWith('linear-dimming'))).toBe(false);
  });
});
