import { expect, test } from 'vitest';
import { FirmwareLoadError } from '../../drivers/plant/firmware/firmware-image.ts';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import type { ConditionTask } from '../../harness/run/engine/lane.ts';
import { PlantLane } from '../../harness/workflow/lanes/plant-lane.ts';
import { forEver, type HandMade, handMadeModule, takeAll, trap } from './hand-made-module.ts';
import { claim, lamp, rig } from './judge.ts';

async function judged(made: HandMade): Promise<string> {
  const plan = claim('dimming/reaches-bottom');
  const [condition] = plan.conditions;
  const task: ConditionTask = {
    ...{ spec: plan.spec, condition: condition!, position: 1, repeat: 0, lamp, rig },
    ...{ seed: 1, lampSeed: 1, faults: [] },
  };
  const lane = new PlantLane(await loadFirmware(handMadeModule(made), 'hostile.wasm'));
  try {
    const result = await lane.execute(task, new AbortController().signal);
    return `${result.condition.verdict}: ${result.condition.reason}`;
  } catch (error) {
    return `refused: ${(error as Error).message}`;
  } finally {
    await lane.close();
  }
}

test('one that never ends while it is loaded is ended, and told', async () => {
  expect(await judged({ start: forEver })).toContain(
    'fail: Firmware hostile.wasm: the start of the program did not come back within',
  );
});

test('one that traps while it is loaded cannot start', async () => {
  expect(await judged({ start: trap })).toContain('hostile.wasm cannot start: unreachable');
});

test('one that takes all memory there is gets a bounded part of it, and is told', async () => {
  expect(await judged({ init: takeAll })).toMatch(/took 32 MiB of memory; a lamp has at most 16/);
});

test('one that asks for 4 GiB from the start is refused', async () => {
  const load = () => loadFirmware(handMadeModule({ pages: 65_536 }), 'wide.wasm');
  await expect(load()).rejects.toThrow(FirmwareLoadError);
  await expect(load()).rejects.toThrow('asks for 4096 MiB of memory at its start');
});

test('a hand-made module that does nothing of the kind is driven as any other', async () => {
  expect(await judged({})).toMatch(/^fail: /);
});
