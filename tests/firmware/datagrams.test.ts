import { describe, expect, test } from 'vitest';
import { loadFirmware } from '../../drivers/plant/firmware/load-firmware.ts';
import { openFirmware } from '../../drivers/plant/firmware/open-firmware.ts';
import { withoutProtocol } from '../../harness/workflow/lanes/foreign-protocol.ts';
import { buildAlcove, buildSource } from './build-firmware.ts';
import { claim, judge, lamp, rig } from './judge.ts';

async function verdict(name: string, ...options: readonly string[]): Promise<string> {
  const image = await loadFirmware(buildSource('sources/datagrams.c', options), 'datagrams');
  return (await judge(claim(name), 0, { firmware: () => openFirmware(image) })).verdict;
}

describe('firmware that takes datagrams', () => {
  test('does the protocol by itself, and claims about it are claims about the firmware', async () => {
    expect(await verdict('control/sacn-preview')).toBe('pass');
    expect(await verdict('control/sacn-sequence')).toBe('pass');
    expect(await verdict('control/sacn-preview', '-DTAKES_PREVIEW')).toBe('fail');
    expect(await verdict('control/sacn-sequence', '-DSEQUENCE_BLIND')).toBe('fail');
  });
});

describe('a claim about sACN packets', () => {
  const ofBuild = async (name: string, bytes: Uint8Array) => {
    const plan = claim(name);
    const [condition] = plan.conditions;
    if (!condition) throw new Error(`${name} has no condition`);
    const task = { spec: plan.spec, condition, position: 1, repeat: 0, lamp, rig, faults: [] };
    const image = await loadFirmware(bytes, 'mine.wasm');
    return withoutProtocol({ ...task, seed: 1, lampSeed: 1 }, image)?.condition;
  };

  test('is not run with a build that sees DMX512 frames alone, and says why', async () => {
    const alcove = buildAlcove();
    for (const name of ['control/sacn-preview', 'control/sacn-sync', 'robustness/sacn-noise']) {
      const condition = await ofBuild(name, alcove);
      expect(condition?.verdict).toBe('not run');
      expect(condition?.reason).toMatch(
        /^proves nothing of mine\.wasm:.*lamp_receive_datagram\(\)/,
      );
    }
  });

  test('is run with one that takes the datagrams, and so is every claim about levels by sACN', async () => {
    expect(await ofBuild('control/sacn-preview', buildSource('sources/datagrams.c'))).toBe(
      undefined,
    );
    expect(await ofBuild('control/slot-levels', buildAlcove())).toBe(undefined);
  });
});
